"""What accepted doors teach: figures over crews, months, checks and builders; no person in them."""
