"""The door for other programs: translates in, calls one action or question, translates out."""
