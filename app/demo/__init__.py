"""The demo company: invented people and jobs, with work half done, to try everything on."""
