"""The same session, told on a screen or in lines."""
