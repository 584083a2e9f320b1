"""The commands, one a module, each with its `command`; `isolate.cli` loads the one that is asked for."""
