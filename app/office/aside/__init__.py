"""/office/aside: what phones sent and the log could not take; taken in by decision."""
