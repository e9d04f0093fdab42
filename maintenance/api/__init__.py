"""The door for other programs to what the boats need: translates in, calls one action, translates out."""
