"""The plane of the face: millimetres to photo pixels and back, and the face seen square-on."""
