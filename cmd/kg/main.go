// Command kg finds the cause of a fault in a heating system from what is seen,
// on a machine without a network.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// garbage is how much the heap may grow before it is collected, in per cent. A
// command lives for some hundredths of a second; collecting sooner costs more
// than the memory it saves.
const garbage = 400

func main() {
	debug.SetGCPercent(garbage)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
