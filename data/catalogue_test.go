package data_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/parts"
)

func TestTheShippedListsOfPartsAreSound(t *testing.T) {
	t.Parallel()
	for _, p := range shipped(t).Problems {
		assert.NotContains(t, p.File, "catalogue", p.Error())
	}
}

// The demo has enough of everything for its makers and appliances.
func TestTheShippedListsAreAsBroadAsPromised(t *testing.T) {
	t.Parallel()
	list := shipped(t).Parts
	look := func(id parts.ID) (*parts.Part, error) {
		for _, p := range list {
			if p.ID == id {
				return p, nil
			}
		}
		return nil, nil
	}
	makers, types, appliances := map[string]int{}, map[string]bool{}, map[string]bool{}
	branched, together, kits, shared, longest, claims, refused := 0, 0, 0, 0, 0, 0, 0
	for _, p := range list {
		makers[p.Maker]++
		types[p.Type] = true
		for _, f := range p.Fits {
			appliances[f.Appliance] = true
		}
		if len(p.By) > 1 {
			branched++
		}
		for _, s := range p.By {
			if len(s.By) > 1 {
				together++
			}
		}
		if len(p.Contains) > 0 {
			kits++
		}
		if len(p.Fits) > 1 {
			shared++
		}
		if len(p.By) > 0 {
			continue
		}
		older, err := parts.Older(look, p.ID)
		require.NoError(t, err)
		longest = max(longest, 1+len(older))
		claims += len(p.Claims)
		for _, c := range p.Claims {
			if p.Class() != note.NoSafety && !c.Approved {
				refused++
			}
		}
	}
	assert.GreaterOrEqual(t, len(list), 400)
	assert.Len(t, makers, 4)
	assert.Greater(t, len(types), 50)
	assert.Equal(t, 5, longest, "numbers in the longest chain")
	for what, n := range map[string]int{"branches by serial": branched, "parts that go in together": together, "kits": kits, "shared parts": shared, "claims": claims, "claims that are refused": refused} {
		assert.GreaterOrEqual(t, n, 4, what)
	}
	for _, n := range shipped(t).Kept {
		if a, ok := n.Entry.(*note.Appliance); ok && a.Maker != "" {
			assert.True(t, appliances[string(a.ID)], "%s has parts", a.ID)
			assert.Positive(t, makers[a.Maker], a.Maker)
		}
	}
}

// A safety part of the demo is nowhere said to be interchangeable without a source
// that a maker would stand for.
func TestApprovalsInTheDemoAreTheMakers(t *testing.T) {
	t.Parallel()
	for _, p := range shipped(t).Parts {
		for _, c := range p.Claims {
			if c.Approved {
				assert.True(t, strings.Contains(c.Source, "maker"), "%s: %s", p.Where, c.Source)
			}
		}
	}
}
