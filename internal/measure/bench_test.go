package measure

import (
	"testing"

	"github.com/stretchr/testify/require"

	"kg/internal/units"
)

// typical are cases of each model, as text.
var typical = map[string]string{
	"carnot": "source=7 supply=35", "co-air-free": "co=100 oxygen=5", "co-alarm": "co=50 reads=70min", "pump-start": "head=5 position=discharge reads=0.48",
	"co-ratio": "co=90 co2=9", "co2-max": "reads=9", "cold-fill": "height=6 reads=1.1", "conductor": "area=1.5 class=2 length=20 reads=0.2",
	"conformity": "upper=-5.4 uncertainty=0.05 reads=-5.47", "current-loop": "pressure=1.5 span=4 reads=10", "dosing": "volume=100 reads=1",
	"electric-power": "current=3 reads=690W", "element": "power=3kW reads=17.6", "excess-air": "oxygen=5 reads=1.28", "expansion": "volume=100 cold=10 hot=80",
	"flame-current": "reads=3", "flue-co2": "oxygen=5 reads=8.9", "flue-loss": "flue=160 oxygen=5 reads=7", "gas-drop": "reads=0.8", "gas-heating-value": "",
	"gas-rate": "volume=0.095 time=120 reads=32", "heat-output": "flow=0.2 supply=70 return=50 reads=16", "heat-pump": "flow=0.3 supply=35 return=30 power=1.5 source=7",
	"hot-water": "flow=10 cold=10 hot=45 reads=24", "insulation": "reads=200", "loop-resistance": "reads=250", "ntc-beta": "r25=10k beta=3977 at=20 reads=12.5k",
	"ntc-curve": "curve=10k-2 at=20 reads=12.5k", "ntc-steinhart": "a=0.001129148 b=0.000234125 c=8.76741e-8 at=20 reads=12.5k", "platinum": "r0=1000 at=60 reads=1232",
	"relief-valve": "reads=3", "scald-time": "water=60", "static-head": "height=6 reads=0.6", "supply-pressure": "reads=20", "supply-voltage": "reads=240",
	"system-volume": "double=6 pipe15=60 pipe22=25 reads=80", "tightness": "limit=1mbar reads=0", "transducer-voltage": "pressure=1.5 span=4 reads=2",
	"unvented-pressure": "reads=3.2", "unvented-temperature": "reads=92", "vessel-acceptance": "precharge=1 reads=42", "vessel-fill": "size=18 precharge=1 reads=1.5",
	"vessel-fill-max": "size=18 precharge=1 reads=1.5", "vessel-hot-pressure": "size=12 volume=100 cold=20 hot=70 pressure=1.2 precharge=1 reads=1.8",
	"vessel-precharge": "size=12 volume=100 cold=20 hot=70 pressure=1.2 hot-pressure=2.1", "vessel-size": "volume=100 reads=18",
	"water-boiling": "at=100", "water-density": "at=60", "water-enthalpy": "at=60", "water-heat": "at=60", "water-temperature": "point=store reads=61",
}

func TestEveryModelAnswersATypicalCaseWithoutLeavingAnythingOut(t *testing.T) {
	t.Parallel()
	for _, m := range Models() {
		j := judge(t, m.Name, typical[m.Name])
		require.NotEmpty(t, j.Formula(), m.Name)
		require.False(t, j.Expected == 0 && m.Name != "tightness" && m.Name != "conformity", m.Name)
		if _, read := j.Reads(); read {
			require.Equal(t, Healthy, j.Verdict, m.Name)
			require.Greater(t, j.Probability, 0.4, m.Name)
		}
	}
}

// A case is judged without the text: that is what a diagnosis does many times.
func BenchmarkJudge(b *testing.B) {
	for _, m := range Models() {
		b.Run(m.Name, func(b *testing.B) {
			g, err := given(m.Name, typical[m.Name])
			require.NoError(b, err)
			b.ReportAllocs()
			var j Judgement
			for b.Loop() {
				if err := g.judgeInto(&j); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The temperature that a resistance means, and the pre-charge that a pair means.
func BenchmarkReverse(b *testing.B) {
	for name, keys := range map[string]string{
		"platinum": "r0=1000 reads=1194", "ntc-curve": "curve=10k-2 reads=4200", "ntc-beta": "r25=10k beta=3977 reads=4200",
		"vessel-hot-pressure": "size=12 volume=100 cold=20 hot=70 pressure=1.2 reads=2.119", "hot-water": "power=24kW cold=10 hot=45", "water-boiling": "reads=1bara",
	} {
		b.Run(name, func(b *testing.B) {
			g, err := given(name, keys)
			require.NoError(b, err)
			b.ReportAllocs()
			var j Judgement
			for b.Loop() {
				if err := g.judgeInto(&j); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkLikelihoods(b *testing.B) {
	r := readings(b, "at=20C reads=12.5k", "at=60C reads=2.4k")
	s := suspects()
	for b.Loop() {
		if _, err := Likelihoods(r, s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := parseQuantity(units.Resistance, "ohm", "10.4k ± 1%"); err != nil {
			b.Fatal(err)
		}
	}
}
