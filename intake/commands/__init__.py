"""The commands, a module for each kind of person who types them; heavy imports wait until a command runs."""
