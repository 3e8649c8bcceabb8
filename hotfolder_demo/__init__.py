"""`python -m hotfolder_demo`: a small shop's morning with the real daemon, from dropped files to parcels."""
