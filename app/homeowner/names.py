"""Names stand beside the record, never in it: it names people by their ids."""

HOMEOWNER = "job:homeowner"  # what stands for the homeowner, whose name is the job's
