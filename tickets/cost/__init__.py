"""What printing costs: ink, film, powder, machine and hands of a run, shared out to its jobs; and prices."""
