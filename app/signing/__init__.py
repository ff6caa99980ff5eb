"""The company's signing key: what the office issues and hands out is signed with it."""
