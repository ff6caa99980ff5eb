"""/office/o/ID/voice: a code for one check, read out to a crew that has a voice but no data."""
