"""The pages: the same answers as the command line, shown in a browser on the keeper's own machine."""
