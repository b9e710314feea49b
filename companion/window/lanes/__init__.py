"""The finger lanes and the words above them: what is asked, what is played, what was found."""
