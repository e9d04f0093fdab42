"""What the skipper's phone is told and how: its language, its days and numbers, what it keeps."""
