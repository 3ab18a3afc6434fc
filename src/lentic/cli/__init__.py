"""The command line: shows what the keeper functions answer and knows nothing else."""
