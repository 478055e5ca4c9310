"""The API put together: every room's endpoints under one address, and its schema."""
