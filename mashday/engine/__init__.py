"""What is happening: intents, facts and the state they fold into. No clock, disk, screen or chance."""
