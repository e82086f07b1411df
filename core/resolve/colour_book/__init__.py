"""The colour book: for each customary colour, which stops of this organ make it, and how a score would ask for it."""
