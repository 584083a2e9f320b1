"""The guide: chapters that come with the program, each a file of plain Markdown beside this one."""
