"""Save records as an open package: asked for, written in steps, offered, cleared away."""
