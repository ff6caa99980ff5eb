"""The plan: crews by day, when an opening is worked at, what today needs, the week."""
