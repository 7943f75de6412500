package parts

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

const claims = `number,maker,type,attributes,interchange,safety
A-1,Ferrow,pump,length: 130 mm | voltage: 230 V,identical to Lunt: 7 [source bench],
7,Lunt,pump,length: 130 mm | voltage: 220 to 240 V,identical to Marl: M1 [source bench] | with-adapter to Marl: M2 [source bench; needs reducer] | by-attributes to Marl: M3 [source a list],
M1,Marl,pump,length: 130 mm | voltage: 230 V,identical to Marl: M4 [source bench],
M2,Marl,pump,length: 130 mm | voltage: 230 V,identical to Marl: M5 [source bench],
M3,Marl,pump,length: 130 mm | voltage: 230 V,,
M4,Marl,pump,length: 180 mm | voltage: 230 V,,
M5,Marl,pump,length: 130 mm | voltage: 230 V,,
M6,Marl,pump,voltage: 230 V,,
G-1,Ferrow,gas-valve,voltage: 230 V,identical to Lunt: G7 [source a list] | identical to Lunt: G8 [source letter of the maker; approved],gas
G7,Lunt,gas-valve,voltage: 230 V,identical to Lunt: G9 [source letter; approved],gas
G8,Lunt,gas-valve,voltage: 230 V,identical to Lunt: G9 [source letter; approved],gas
G9,Lunt,gas-valve,voltage: 230 V,,gas
V-1,Ferrow,vessel,,identical to Lunt: V7 [source bench; both ways],
V7,Lunt,vessel,,,
P-1,Ferrow,vessel,,identical to Lunt: P7 [source bench],relief
P7,Lunt,vessel,,,
`

func substitutes(t *testing.T, maker, number string) map[string]Substitute {
	t.Helper()
	look := lookIn(assembled(t, claims))
	of, err := look(IDOf(maker, number))
	require.NoError(t, err)
	require.NotNil(t, of)
	list, err := Interchange(look, of)
	require.NoError(t, err)
	out := map[string]Substitute{}
	for _, s := range list {
		out[s.Part.Number] = s
	}
	return out
}

func TestClaimsAreFollowedOnlyAsFarAsGradesAndAttributesAllow(t *testing.T) {
	t.Parallel()
	got := substitutes(t, "Ferrow", "A-1")
	assert.Equal(t, note.Identical, got["7"].Grade)
	assert.Equal(t, note.Identical, got["M1"].Grade, "identical and identical")
	assert.Len(t, got["M1"].Claims, 2)
	assert.Equal(t, note.WithAdapter, got["M2"].Grade, "the last claim may need an adapter")
	assert.NotContains(t, got, "M3", "a claim by attributes leads no further")
	assert.NotContains(t, got, "M4", "its length is not that of the first part")
	assert.NotContains(t, got, "M5", "nothing is followed beyond an adapter")
}

func TestAClaimDoesNotSayTheReverse(t *testing.T) {
	t.Parallel()
	assert.NotContains(t, substitutes(t, "Lunt", "7"), "A-1")
	assert.Contains(t, substitutes(t, "Lunt", "V7"), "V-1", "unless it says both ways")
}

func TestPartsThatKeepPeopleSafeGoInOnlyWhereTheMakerApproves(t *testing.T) {
	t.Parallel()
	got := substitutes(t, "Ferrow", "G-1")
	assert.Contains(t, got["G7"].Refused, "Look in the maker's instructions")
	assert.Empty(t, got["G8"].Refused)
	assert.True(t, got["G8"].Claims[0].Approved)
	assert.NotContains(t, got, "G9", "nothing is followed from a safety part")
	assert.NotEmpty(t, substitutes(t, "Ferrow", "P-1")["P7"].Refused, "a list may say that a part keeps people safe")
}

func TestAnApprovalDoesNotTurnRound(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,interchange,safety
G-1,Ferrow,gas-valve,identical to Lunt: G7 [source letter of the maker; both ways; approved],gas
G7,Lunt,gas-valve,,gas
`)
	of, _ := lookIn(list)(IDOf("Lunt", "G7"))
	got, err := Interchange(lookIn(list), of)
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.NotEmpty(t, got[0].Refused)
}

func TestASafetyPartIsNotFollowedToAnotherMaker(t *testing.T) {
	t.Parallel()
	list := []*Part{
		{ID: "ferrow/G1", Number: "G1", Maker: "Ferrow", Type: "gas-valve", Safety: note.Gas, By: []Succession{{By: []Item{{"lunt/G7", "G7", 1}}}}},
		{ID: "lunt/G7", Number: "G7", Maker: "Lunt", Type: "gas-valve"},
	}
	chain, err := Follow(lookIn(list), "ferrow/G1", "")
	require.NoError(t, err)
	assert.Equal(t, EndOther, chain.Today()[0].Items[0].End)
}

func TestEveryKindOfSafetySaysWhyNothingElseGoesIn(t *testing.T) {
	t.Parallel()
	for _, s := range note.Safeties() {
		assert.NotContains(t, refusal(s), "(): ")
		assert.NotContains(t, refusal(s), ":  ")
	}
}

func TestMatchesAreRankedByHowFarTheyAre(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,status,attributes
A-1,Ferrow,pump,,thread: G 1 | voltage: 230 V | head: 6 m
A-2,Ferrow,pump,superseded,thread: G 1 | voltage: 230 V | head: 6 m
B-1,Lunt,pump,,thread: G 1 | voltage: 230 V | head: 6 m
B-2,Lunt,pump,,thread: G 1 | voltage: 220 to 240 V | head: 5 m
B-3,Lunt,pump,,thread: G 1 1/2 | voltage: 230 V | head: 6 m
B-4,Lunt,pump,,thread: R 1 | voltage: 230 V | head: 6 m
B-5,Lunt,pump,,voltage: 230 V
B-6,Lunt,pump,,
C-1,Lunt,vessel,,thread: G 1 | voltage: 230 V | head: 6 m
`)
	of, _ := lookIn(list)(ferrow("A-1"))
	var got []string
	for _, s := range Match(of, list, 10) {
		got = append(got, s.Part.Number)
		assert.Empty(t, s.Refused)
	}
	assert.Equal(t, []string{"B-1", "B-4", "B-2", "B-5", "B-3"}, got)
	assert.Nil(t, Match(&Part{}, list, 10), "what states nothing is like nothing")
	safe := *of
	safe.Safety = note.Relief
	for _, s := range Match(&safe, list, 10) {
		assert.NotEmpty(t, s.Refused)
	}
}
