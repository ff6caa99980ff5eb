"""Random faults: schedules of work and trouble, and the one thing that must be true after each.

What is real and what is simulated stands in PLAN.md here.
"""
