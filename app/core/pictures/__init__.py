"""The pictures' inside: one module a picture; drawings.py is the face."""
