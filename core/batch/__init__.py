"""Many scores on several organs in one call: a catalogue checked on all cores, resumed where it was left."""
