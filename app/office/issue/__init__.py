"""Issue work: jobs, openings from their shop drawing, crews, and drawings that change later."""
