"""The completion record as a PDF: PDF/A-3a and PDF/UA-1, made from the snapshot alone."""
