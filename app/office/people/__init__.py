"""/office/people: who may enter, and as what. Administrators only."""
