package main

import (
	"runtime"
	"runtime/debug"

	"kg/internal/present"
)

// buildOf says what this program was built from, as far as the build has noted it.
func buildOf() present.Build {
	out := present.Build{Version: "unknown", System: runtime.GOOS + "/" + runtime.GOARCH, Go: runtime.Version()}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return out
	}
	out.Version = info.Main.Version
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			out.Commit = s.Value
		case "vcs.time":
			out.Date = s.Value
		case "vcs.modified":
			out.Changed = s.Value == "true"
		}
	}
	return out
}
