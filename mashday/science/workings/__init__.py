"""The workings: each gives what a function of the science floor gives, with how it came about."""
