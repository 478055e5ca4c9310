"""The API's ground floor: what every endpoint is made of, and the endpoints of the plan."""
