"""The small language of the templates: rendered by Jinja2, compiled for the phone."""
