"""When will it be ready: the line simulated forward many times, on the shop's hours and at its own paces."""
