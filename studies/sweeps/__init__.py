"""Many designs: what varies, the workers that compute it, what they came to."""
