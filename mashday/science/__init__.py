"""How much: water, heat, grain, starch, gravity, alcohol and volumes. Floats in, floats out."""
