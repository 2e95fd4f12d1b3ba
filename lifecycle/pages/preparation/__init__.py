"""Pages of preparation: images, facsimiles, captions, mounts, cases, routes, housing."""
