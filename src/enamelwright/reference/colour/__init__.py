"""Light, metals, starting colours and how eyes judge them."""
