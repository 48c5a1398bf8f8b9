"""Plain data of the job: frames, renditions, briefs, problems and answers. No files, no pixels, no solver."""
