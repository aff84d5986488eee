"""Cut blanks from sheets and remnants: where each lies, what is left, what is scrap."""
