"""The finger lanes and what is written above them: asked, played, found."""
