package speech

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSayingsAreReadBySpeakerAndKind(t *testing.T) {
	t.Parallel()
	got, err := Read(fstest.MapFS{
		"old/symptoms.tsv": {Data: []byte("no-heat\tit's cold\n")},
		"old/results.tsv":  {Data: []byte("look-at-it\tclean\tspotless, that was\n")},
		"old/harmless.tsv": {Data: []byte("none\tthe bill was a shock\n")},
		"young/none.tsv":   {Data: []byte("hello\n")},
		"README.md":        {Data: []byte("about")},
	})
	require.NoError(t, err)
	assert.Equal(t, []Saying{
		{"old", Harmless, Nothing, "", "the bill was a shock"},
		{"old", Results, "look-at-it", "clean", "spotless, that was"},
		{"old", Symptoms, "no-heat", "", "it's cold"},
		{"young", None, Nothing, "", "hello"},
	}, got)
}

func TestAFileThatIsNotOfSayingsIsRefused(t *testing.T) {
	t.Parallel()
	_, err := Read(fstest.MapFS{"old/symptoms.tsv": {Data: []byte("no-heat\tit's cold\nno-heat it's cold\n")}})
	assert.EqualError(t, err, "old/symptoms.tsv:2: there are 1 columns, there should be 2")
	_, err = Read(fstest.MapFS{"old/others.tsv": {Data: []byte("x\n")}})
	assert.ErrorContains(t, err, "old/others.tsv is not a kind of sayings")
}

// No speaker says the same of two things.
func TestNoSpeakerSaysTheSameOfTwoThings(t *testing.T) {
	t.Parallel()
	all, err := Read(Files)
	require.NoError(t, err)
	require.NotEmpty(t, all)
	type said struct{ speaker, text string }
	of := map[said]Saying{}
	for _, s := range all {
		key := said{s.Speaker, s.Text}
		if was, twice := of[key]; twice && (was.ID != s.ID || was.Result != s.Result) && (was.Kind == s.Kind || was.Kind == Dangers && s.Kind == Harmless) {
			t.Errorf("%s says %q of %s and of %s", s.Speaker, s.Text, was.ID, s.ID)
		}
		of[key] = s
	}
}

func TestStoriesAreReadInPieces(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{
		"old/stories.tsv":   {Data: []byte("1\tnone\tmorning,\n1\t+no-heat\tit's cold\n1\t-no-hot-water\tbut the taps are hot\n2\tnone\thello\n")},
		"young/stories.tsv": {Data: []byte("2\t+no-heat\tfreezing\n")},
		"young/none.tsv":    {Data: []byte("hello\n")},
	}
	got, err := ReadStories(files)
	require.NoError(t, err)
	assert.Equal(t, []Story{
		{"old", []Piece{{Nothing, false, "morning,"}, {"no-heat", false, "it's cold"}, {"no-hot-water", true, "but the taps are hot"}}},
		{"old", []Piece{{Nothing, false, "hello"}}},
		{"young", []Piece{{"no-heat", false, "freezing"}}},
	}, got)
	sayings, err := Read(files)
	require.NoError(t, err)
	assert.Len(t, sayings, 1, "they are no sayings")

	_, err = ReadStories(fstest.MapFS{"old/stories.tsv": {Data: []byte("1\tno-heat\tit's cold\n")}})
	assert.ErrorContains(t, err, "old/stories.tsv:1: a piece is of `+SYMPTOM`")
}
