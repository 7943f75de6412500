package link

import (
	"context"
	"slices"

	"kg/internal/note"
)

// Branch is one entry of a tree of causes or consequences.
type Branch struct {
	Edge     Edge // how it was reached; empty at the root
	ID       note.ID
	Branches []*Branch
	Cut      Cut
}

// Cut says why there is nothing below a branch although there would be.
type Cut string

const (
	Circle  Cut = "cycle" // the entry stands above already
	TooDeep Cut = "depth" // the walk was deep enough
	TooMany Cut = "size"  // the tree had grown too large
)

// Direction tells causes from consequences.
type Direction int

const (
	Back  Direction = iota // from an entry to what causes it
	Ahead                  // from an entry to what it leads to
)

// MaxDepth and MaxBranches bound a tree of causes: how many links from its root
// to a leaf, and how many entries in all.
const (
	MaxDepth    = 20
	MaxBranches = 2000
)

// Tree walks breadth first from an entry, along causes or consequences, to a
// depth of at most MaxDepth. An entry that stands above itself is cut and
// marked. An entry reached on two branches is written out on both, since each
// is a chain of its own.
func Tree(ctx context.Context, links Reader, root note.ID, d Direction, depth int) (*Branch, error) {
	top := &Branch{ID: root}
	type open struct {
		branch *Branch
		above  []note.ID
	}
	level := []open{{top, []note.ID{root}}}
	depth = min(max(depth, 0), MaxDepth)
	size := 1
	for ; len(level) > 0; depth-- {
		var next []open
		for _, o := range level {
			edges, err := steps(ctx, links, o.branch.ID, d)
			if err != nil {
				return nil, err
			}
			switch {
			case len(edges) == 0:
				continue
			case depth == 0:
				o.branch.Cut = TooDeep
				continue
			case size+len(edges) > MaxBranches:
				o.branch.Cut = TooMany
				continue
			}
			size += len(edges)
			for _, e := range edges {
				id := e.To
				if d == Back {
					id = e.From
				}
				b := &Branch{Edge: e, ID: id}
				o.branch.Branches = append(o.branch.Branches, b)
				if slices.Contains(o.above, id) {
					b.Cut = Circle
					continue
				}
				next = append(next, open{b, append(slices.Clone(o.above), id)})
			}
		}
		level = next
	}
	return top, nil
}

// steps returns the causal links out of an entry. A link said by several
// notes is taken once, as the one that states it most strongly has it. Back goes from a symptom to the modes that show it and from a
// mode to those that lead to it; Ahead the other way round.
func steps(ctx context.Context, links Reader, id note.ID, d Direction) ([]Edge, error) {
	walk := links.In
	if d == Ahead {
		walk = links.Out
	}
	edges, err := walk(ctx, id, Shows, LeadsTo)
	if err != nil {
		return nil, err
	}
	type said struct {
		from note.ID
		link Name
		to   note.ID
	}
	seen := map[said]bool{}
	return slices.DeleteFunc(edges, func(e Edge) bool {
		key := said{e.From, e.Link, e.To}
		if seen[key] {
			return true
		}
		seen[key] = true
		return false
	}), nil
}

// Closure returns the entries that can be reached along some links, the start
// among them, in the order of a breadth-first walk.
func Closure(ctx context.Context, links Reader, start note.ID, names ...Name) ([]note.ID, error) {
	seen := map[note.ID]bool{start: true}
	out := []note.ID{start}
	for i := 0; i < len(out); i++ {
		edges, err := links.Out(ctx, out[i], names...)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			if !seen[e.To] {
				seen[e.To] = true
				out = append(out, e.To)
			}
		}
	}
	return out, nil
}
