package hear

import (
	"kg/internal/note"
	"kg/internal/portable"
)

// How far tones are gone by, chosen on speakers that hearing had not been taught by
// (README of speech).
const (
	// toneTrust is the part of the tone in how probable it is that something is there,
	// is not, or was found; the rest is that of meanings.
	toneTrust = 1.0 / 3
	// goodNewsOf is how far what is said of a thing counts for its absence, where the
	// tone is that of good news.
	goodNewsOf = 0.5
	// graveTrust is the part of the tone in how probable a danger is.
	graveTrust = 1.0 / 3
)

// toned are the probabilities of meanings, changed so that what kind of thing is said
// agrees with the tone.
func (l *Learned) toned(p, tones []float64) []float64 {
	var mass, within [SeveralSaid + 1]float64
	there := map[note.ID]float64{}
	for k, m := range l.meanings {
		mass[m.Says] += p[k]
		if m.Says == ThereSaid {
			there[m.ID] = p[k]
		}
	}
	out := make([]float64, len(p))
	for k, m := range l.meanings {
		out[k] = p[k]
		if m.Says == AbsentSaid {
			out[k] += float64(goodNewsOf * there[m.ID])
		}
		within[m.Says] += out[k]
	}
	sum := 0.0
	for says := range SeveralSaid {
		tone := tones[says]
		if says == ThereSaid {
			tone += tones[GraveTone]
		}
		if within[says] > 0 {
			mass[says] = float64(portable.Pow(tone, toneTrust) * portable.Pow(mass[says], 1-toneTrust))
			sum += mass[says]
		}
	}
	for k, m := range l.meanings {
		if within[m.Says] > 0 {
			out[k] *= mass[m.Says] / sum / within[m.Says]
		}
	}
	return out
}

// asGrave is how probable a danger is by meanings and by the tone, together: their log
// odds, in parts.
func asGrave(p, grave float64) float64 {
	odds := float64((1-graveTrust)*logOdds(p)) + float64(graveTrust*logOdds(grave))
	return 1 / (1 + portable.Exp(-odds))
}

// amid is how probable a grave tone is in a part of a text, by the part and by the whole:
// the mean of their log odds. The whole is clearer, but a danger that is told among other
// things hardly changes its tone.
func amid(whole, part float64) float64 {
	return 1 / (1 + portable.Exp(-(logOdds(whole)+logOdds(part))/2))
}

// logOdds are the logarithm of the odds, neither for sure nor against all doubt.
func logOdds(p float64) float64 {
	p = min(1-certainly, max(certainly, p))
	return portable.Log(p / (1 - p))
}
