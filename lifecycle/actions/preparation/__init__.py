"""Everything made for an object: asked, made, checked by a person, with evidence and date."""
