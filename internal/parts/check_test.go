package parts

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each case is a list with one thing wrong, with the rule that finds it and what is
// said; a list with nothing wrong is passed.
func TestWhatIsWrongWithSupersessionsIsSaidOnce(t *testing.T) {
	t.Parallel()
	const header = "number,maker,type,status,superseded-by,interchange\n"
	for text, want := range map[string][2]string{
		"A-1,Ferrow,pump,,A-2,\nA-2,Ferrow,pump,,,\n":                                                       {},
		"A-1,Ferrow,pump,superseded,A-2,\nA-2,Ferrow,pump,current,,\n":                                      {},
		"A-1,Ferrow,pump,withdrawn,,\n":                                                                     {},
		"A-1,Ferrow,pump,superseded,,\n":                                                                    {"supersession-dead-end", "by what is not said"},
		"A-1,Ferrow,pump,current,A-2,\nA-2,Ferrow,pump,,,\n":                                                {"status-contradicts", "called current and is superseded by A-2"},
		"A-1,Ferrow,pump,,A-2,\nA-2,Ferrow,pump,withdrawn,,\n":                                              {"supersession-dead-end", "replaced others (A-1) and is withdrawn"},
		"A-1,Ferrow,pump,,A-2,\n":                                                                           {"supersession-dead-end", "which is in no list"},
		"A-1,Ferrow,pump,,A-O2,\nA-02,Ferrow,pump,,,\n":                                                     {"supersession-dead-end", "which is in no list"},
		"A-1,Ferrow,pump,,A-2,\nA-2,Ferrow,pump,,A-1,\n":                                                    {"supersession-cycle", "A-1 -> A-2 -> A-1"},
		"A-1,Ferrow,pump,,A-1,\n":                                                                           {"supersession-cycle", "A-1 -> A-1"},
		"A-1,Ferrow,pump,,A-2,\nA-2,Ferrow,pump,,A-3,\nA-3,Ferrow,pump,,A-2,\n":                             {"supersession-cycle", "A-2 -> A-3 -> A-2"},
		"A-1,Ferrow,pump,,A-2 | A-3,\nA-2,Ferrow,pump,,,\nA-3,Ferrow,pump,,,\n":                             {"supersession-branch", "nothing says which is for what"},
		"A-1,Ferrow,pump,,A-2 [serial ..9] | A-3 [serial 10..],\nA-2,Ferrow,pump,,,\nA-3,Ferrow,pump,,,\n":  {},
		"A-1,Ferrow,pump,,A-2 [serial ..10] | A-3 [serial 10..],\nA-2,Ferrow,pump,,,\nA-3,Ferrow,pump,,,\n": {"supersession-branch", "for serial numbers 10..10"},
		"A-1,Ferrow,pump,,A-2 [needs harness] | A-3,\nA-2,Ferrow,pump,,,\nA-3,Ferrow,pump,,,\n":             {},
		"A-1,Ferrow,pump,,A-2 | A-3 [needs harness],\nA-2,Ferrow,pump,,,\nA-3,Ferrow,pump,,,\n":             {},
		"A-1,Ferrow,pump,,,identical to Lunt: 7\n7,Lunt,pump,,,\n":                                          {"interchange-without-source", "a claim of nobody"},
		"A-1,Ferrow,pump,,,identical to Lunt: 7 [source bench]\n7,Lunt,pump,,,\n":                           {},
	} {
		found := Check(assembled(t, header+text))
		if want[0] == "" {
			assert.Empty(t, found, text)
			continue
		}
		require.Len(t, found, 1, text)
		assert.Equal(t, want[0], found[0].Rule, text)
		assert.Contains(t, found[0].Message, want[1], text)
	}
	guessed := Check(assembled(t, header+"A-1,Ferrow,pump,,A-O2,\nA-02,Ferrow,pump,,,\n"))
	assert.Contains(t, guessed[0].Message, "did you mean A-02?")
}

// A number that was replaced by two, which were replaced by one again, is older than
// that once.
func TestAnOlderNumberIsNamedOnce(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,superseded-by
A-1,Ferrow,pump,A-2 [serial ..9] | A-3 [serial 10..]
A-2,Ferrow,pump,A-4
A-3,Ferrow,pump,A-4
A-4,Ferrow,pump,
`)
	older, err := Older(lookIn(list), ferrow("A-4"))
	require.NoError(t, err)
	var numbers []string
	for _, p := range older {
		numbers = append(numbers, p.Number)
	}
	assert.Equal(t, []string{"A-2", "A-3", "A-1"}, numbers)
	loop := assembled(t, "number,maker,type,superseded-by\nA-1,Ferrow,pump,A-2\nA-2,Ferrow,pump,A-1\n")
	older, err = Older(lookIn(loop), ferrow("A-1"))
	require.NoError(t, err)
	assert.Len(t, older, 1, "a circle ends where it comes back")
	assert.Len(t, loops(loop, map[ID]*Part{loop[0].ID: loop[0], loop[1].ID: loop[1]}), 1)
}
