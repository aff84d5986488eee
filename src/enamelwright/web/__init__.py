"""The app in a browser at the bench: pages on the questions and the record, drawn on the server."""
