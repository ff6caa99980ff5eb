"""The sections of a set-out, one module a subject; setout.py is the face."""
