"""One drawing protocol between geometry and every output, and the project's look."""
