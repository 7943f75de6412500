package generation

// The parts of a generation, by their place in its folder.
const (
	GraphFile   = "graph.bolt"
	IndexFolder = "index"
	ArchiveFile = "entries.bolt"
	PartsFile   = "parts.bolt"
)
