package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// vesselHotPressure is the pressure of a sealed system, above the air, after its
// water has grown by more: Boyle's law for the gas in an expansion vessel of the
// given size that was charged to precharge before it was filled, at the cold
// pressure. If the system is filled to less than the pre-charge, the vessel holds
// no water yet and its pressure begins at the pre-charge. Where the water does
// not fit it is infinite.
//
//	Va = Vn (p0 + Pa)/(pf + Pa); ph = (pf + Pa) Va/(Va - dV) - Pa
//
// with Pa = 1.01325 bar; the gas keeps its temperature.
func vesselHotPressure(size litre, precharge, cold bar, more litre) bar {
	start := max(cold, precharge) + atmosphere
	if more <= 0 {
		return cold
	}
	gas := float64(float64(size) * float64((precharge+atmosphere)/start))
	if float64(more) >= gas {
		return bar(math.Inf(1))
	}
	return bar(start*bar(gas/(gas-float64(more)))) - atmosphere
}

// vesselPrecharge is the pre-charge that a cold and a hot pressure tell of, by
// the same law, as long as it is not above the cold pressure; below 0 no such
// charge explains them. It is NaN where the pressure did not rise.
//
//	Va = dV Ph/(Ph - Pf); p0 = Va Pf/Vn - Pa, pressures absolute
func vesselPrecharge(size litre, cold, hot bar, more litre) bar {
	if !(hot > cold) {
		return bar(none)
	}
	gas := float64(more) * float64((hot+atmosphere)/(hot-cold))
	if gas > float64(size) { // more gas than the vessel holds: it was empty of water when cold
		return vesselOvercharge(size, hot, more)
	}
	return bar(bar(gas/float64(size))*(cold+atmosphere)) - atmosphere
}

// vesselOvercharge is the pre-charge that a hot pressure tells of if the vessel
// held no water when cold, being charged to more than the system was filled to.
func vesselOvercharge(size litre, hot bar, more litre) bar {
	return bar((hot+atmosphere)*bar(1-float64(more)/float64(size))) - atmosphere
}

// finalPressure is the highest pressure that a system is designed for under a
// relief valve: 0.5 bar below its set pressure, or a tenth of it above 5 bar
// (EN 12828, from memory).
func finalPressure(relief bar) bar { return relief - max(0.5, relief/10) }

// acceptance is the part of a vessel that can take water up between the
// pre-charge and the final pressure, with 1 bar for the air as EN 12828 Annex D
// has it.
func acceptance(precharge, final bar) float64 { return float64((final - precharge) / (final + 1)) }

// vesselFill is the range of the pressure when cold: at the lower end the vessel
// holds just the reserve, at the upper end the pressure just reaches the final
// one after the water has grown by more (EN 12828 Annex D, equal to Boyle's law).
func vesselFill(size litre, precharge, final bar, reserve, more litre) (low, high bar) {
	low = bar(float64(size)*float64(precharge+1)/float64(size-reserve)) - 1
	high = (final+1)/(1+bar(float64(more)/float64(size))*(final+1)/(precharge+1)) - 1
	return low, high
}

// reserve is the water that a vessel should hold when cold: 0.5 per cent of the
// system, at least 3 litres (EN 12828 Annex D, from memory).
func reserve(system litre) litre { return max(3, 0.005*system) }

var (
	gauge        = Spread{Half: 0.05} // of a pressure read off a gauge of 4 bar, common practice
	chargeGauge  = Spread{Half: 0.1}
	vesselCharge = Caution{signal.Warning, "Isolate, cool and release the water pressure before checking or charging a vessel; use a gauge and pump meant for it, and nitrogen or air only."}
)

func sizeKey() Key {
	return Key{Name: "size", Also: []string{"vessel"}, About: "nominal volume of the vessel", Kind: units.Volume, Unit: "l", Low: 0.5, High: 1e5, Default: none}
}

func prechargeKey() Key {
	return Key{Name: "precharge", Also: []string{"pre-charge", "p0"}, About: "gas pressure of the vessel without water", Kind: units.Pressure, Unit: "bar", Low: 0, High: 10, Default: none, Given: chargeGauge}
}

func coldPressureKey() Key {
	return Key{Name: "pressure", Also: []string{"cold-pressure", "fill"}, About: "pressure when cold", Kind: units.Pressure, Unit: "bar", Low: 0, High: 16, Default: none, Given: gauge}
}

func reliefKey() Key {
	return Key{Name: "relief", Also: []string{"set", "valve"}, About: "set pressure of the relief valve", Kind: units.Pressure, Unit: "bar", Low: 0.6, High: 16, Default: 3}
}

func expandedKey() Key {
	return Key{Name: "expansion", Also: []string{"ve"}, About: "growth of the water, if it is known", Kind: units.Volume, Unit: "l", Low: 0, High: 1e5, Default: none, Optional: true}
}

const (
	hotSize = iota
	hotVolume
	hotCold
	hotHot
	hotPressure
	hotPrecharge
	hotExpansion
)

func grown(v *values, volume, cold, hot, given int) litre {
	if v.known(given) {
		return litre(v.x[given])
	}
	// Above 127 degrees C a system has to be under more pressure for its water not to boil.
	p := max(systemPressure, boilingPressure(celsius(max(v.x[hot], v.x[cold])))+0.1)
	return litre(v.x[volume] * expansion(celsius(v.x[cold]), celsius(v.x[hot]), p))
}

func hotColdKey() Key { k := coldKey(); k.Default = 20; return k }

const boyle = "Boyle's law with the expansion of water by IAPWS R7-97(2012); gas at constant temperature"

var vesselHot = &Model{
	Name: "vessel-hot-pressure", Also: []string{"vessel-hot"}, About: "hot pressure of a sealed system from its cold one, and the pre-charge that a pair tells of",
	Keys: []Key{sizeKey(), systemVolumeKey(), hotColdKey(), hotKey(), coldPressureKey(), prechargeKey(), expandedKey()},
	Kind: units.Pressure, Unit: "bar", ReadsAlso: []string{"hot-pressure"}, Meter: gauge, reverse: []int{hotPrecharge},
	Source: boyle, Cautions: []Caution{hotWaterUnderPressure, vesselCharge},
	check: hotterThanCold(hotCold, hotHot),
	// Above the fill pressure the hot pressure rises with the pre-charge again.
	within: func(v *values, _ int) (float64, float64) { return 0, v.x[hotPressure] },
	predict: func(v *values) float64 {
		return float64(vesselHotPressure(litre(v.x[hotSize]), bar(v.x[hotPrecharge]), bar(v.x[hotPressure]), grown(v, hotVolume, hotCold, hotHot, hotExpansion)))
	},
	formula: func(v *values, y float64) string {
		dv := float64(grown(v, hotVolume, hotCold, hotHot, hotExpansion))
		start := max(v.x[hotPressure], v.x[hotPrecharge]) + atmosphere
		va := v.x[hotSize] * (v.x[hotPrecharge] + atmosphere) / start
		return fmt.Sprintf("Va = Vn(p0 + Pa)/(pf + Pa) = %s(%s + 1.01325)/%s = %s l; dV = %s l; ph = (pf + Pa)Va/(Va - dV) - Pa = %s bar",
			figure(v.x[hotSize]), figure(v.x[hotPrecharge]), figure(start), figure(va), figure(dv), figure(y))
	},
	more: func(v *values, _ float64) []Detail {
		return []Detail{{"expansion", float64(grown(v, hotVolume, hotCold, hotHot, hotExpansion)), "l"}}
	},
	remark: func(j *Judgement, v *values) string {
		switch {
		case j.Solved >= 0:
			if finite(j.Expected) {
				return cannotTell(j, v.x[hotPressure])
			}
			return "a higher reading means a vessel without charge or a larger system than was said; a lower one a smaller system, less heat, or a pre-charge above the fill pressure"
		case math.IsInf(j.Expected, 1):
			return "the water does not fit into this vessel at all: the relief valve lifts"
		case v.x[hotPrecharge] > v.x[hotPressure]:
			return "the system is filled to less than the pre-charge: the vessel holds no reserve when cold"
		}
		return ""
	},
	card: &cardPlan{key: hotPrecharge, from: 0, to: 1.5, step: 0.1},
}

// cannotTell is the honest answer where a pair of pressures does not tell a good
// pre-charge from a lost one.
func cannotTell(j *Judgement, cold float64) string {
	switch {
	case j.Expected < 0:
		return "less than no charge: the vessel is waterlogged or cut off, the system holds more water than was said, or the charge is above the fill pressure"
	case j.Low <= 0.1 && j.High >= min(cold, 0.8):
		return "this pair cannot tell a charged vessel from a flat one; the volume of the system decides: measure it, or check the pre-charge itself with the water side at no pressure"
	case j.Expanded > 0.3:
		return "this pair tells little; the volume of the system decides: check the pre-charge itself with the water side at no pressure"
	}
	return ""
}

const (
	pairSize = iota
	pairVolume
	pairCold
	pairHot
	pairPressure
	pairHotPressure
	pairExpansion
)

var vesselPair = &Model{
	Name: "vessel-precharge", Also: []string{"vessel-pair", "precharge"}, About: "pre-charge of an expansion vessel from a cold and a hot pressure",
	Keys: []Key{sizeKey(), systemVolumeKey(), hotColdKey(), hotKey(), coldPressureKey(),
		{Name: "hot-pressure", Also: []string{"final"}, About: "pressure when hot", Kind: units.Pressure, Unit: "bar", Low: 0, High: 16, Default: none, Given: gauge},
		expandedKey()},
	Kind: units.Pressure, Unit: "bar", ReadsAlso: []string{"precharge"}, Meter: chargeGauge, Source: boyle, Cautions: []Caution{hotWaterUnderPressure, vesselCharge},
	check: func(v *values) error {
		const seen = 0.01 // bar, of a gauge
		if v.x[pairHotPressure] < v.x[pairPressure]+seen {
			return fmt.Errorf("the pressure did not rise from %s to %s bar, so the pair tells nothing about the vessel: take the second reading when the system is hot, and see whether the gauge moves",
				figure(v.x[pairPressure]), figure(v.x[pairHotPressure]))
		}
		return hotterThanCold(pairCold, pairHot)(v)
	},
	predict: func(v *values) float64 {
		return float64(vesselPrecharge(litre(v.x[pairSize]), bar(v.x[pairPressure]), bar(v.x[pairHotPressure]), grown(v, pairVolume, pairCold, pairHot, pairExpansion)))
	},
	formula: func(v *values, y float64) string {
		dv := float64(grown(v, pairVolume, pairCold, pairHot, pairExpansion))
		return fmt.Sprintf("Va = dV Ph/(Ph - Pf) = %s x %s/%s; p0 = Va Pf/Vn - Pa = %s bar", figure(dv), figure(v.x[pairHotPressure]+atmosphere),
			figure(v.x[pairHotPressure]-v.x[pairPressure]), figure(y))
	},
	remark: func(j *Judgement, v *values) string { return cannotTell(j, v.x[pairPressure]) },
}

const (
	sizeVolume = iota
	sizeCold
	sizeHot
	sizePrecharge
	sizeRelief
	sizeReserve
	sizeExpansion
)

func reserveOf(v *values, key, volume int) litre {
	if v.known(key) {
		return litre(v.x[key])
	}
	return reserve(litre(v.x[volume]))
}

func reserveKey() Key {
	return Key{Name: "reserve", Also: []string{"vwr"}, About: "water in the vessel when cold; else 0.5% of the system, at least 3 l", Kind: units.Volume, Unit: "l", Low: 0, High: 1e4, Default: none, Optional: true}
}

func vesselSize(v *values) float64 {
	need := grown(v, sizeVolume, sizeCold, sizeHot, sizeExpansion) + reserveOf(v, sizeReserve, sizeVolume)
	return float64(need) / acceptance(bar(v.x[sizePrecharge]), finalPressure(bar(v.x[sizeRelief])))
}

func prechargeBelowFinal(precharge, relief int) func(v *values) error {
	return func(v *values) error {
		if final := finalPressure(bar(v.x[relief])); bar(v.x[precharge]) >= final {
			return fmt.Errorf("a pre-charge of %s bar leaves the vessel nothing to take up below the final pressure of %s bar: the pre-charge has to be lower",
				figure(v.x[precharge]), figure(float64(final)))
		}
		return nil
	}
}

const en12828 = "EN 12828 Annex D (method; reserve and final pressure from memory) with the expansion of water by IAPWS R7-97(2012)"

var vesselModels = []*Model{
	vesselHot, vesselPair,
	{
		Name: "vessel-size", About: "smallest expansion vessel for a system",
		Keys: []Key{systemVolumeKey(), coldKey(), hotKey(), func() Key { k := prechargeKey(); k.Default = 1; return k }(), reliefKey(), reserveKey(), expandedKey()},
		Kind: units.Volume, Unit: "l", ReadsAlso: []string{"size"}, Source: en12828, Edition: "EN 12828:2012+A1:2014 (from memory)", Cautions: []Caution{hotWaterUnderPressure},
		check: func(v *values) error {
			if err := prechargeBelowFinal(sizePrecharge, sizeRelief)(v); err != nil {
				return err
			}
			return hotterThanCold(sizeCold, sizeHot)(v)
		},
		predict: vesselSize,
		limits:  func(v *values) (float64, float64) { return vesselSize(v), math.Inf(1) },
		formula: func(v *values, y float64) string {
			final := finalPressure(bar(v.x[sizeRelief]))
			return fmt.Sprintf("Vn = (Ve + Vwr)(pe + 1)/(pe - p0) = (%s + %s)(%s + 1)/(%s - %s) = %s l",
				figure(float64(grown(v, sizeVolume, sizeCold, sizeHot, sizeExpansion))), figure(float64(reserveOf(v, sizeReserve, sizeVolume))),
				figure(float64(final)), figure(float64(final)), figure(v.x[sizePrecharge]), figure(y))
		},
		more: func(v *values, _ float64) []Detail {
			final := finalPressure(bar(v.x[sizeRelief]))
			return []Detail{{"expansion", float64(grown(v, sizeVolume, sizeCold, sizeHot, sizeExpansion)), "l"}, {"final pressure", float64(final), "bar"},
				{"acceptance", 100 * acceptance(bar(v.x[sizePrecharge]), final), "%"}}
		},
		card: &cardPlan{key: sizeVolume, from: 50, to: 400, step: 25},
	},
	{
		Name: "vessel-acceptance", Also: []string{"acceptance"}, About: "part of an expansion vessel that can take water up",
		Keys: []Key{prechargeKey(), reliefKey(),
			{Name: "final", Also: []string{"pressure", "pe"}, About: "final pressure; else from the relief valve", Kind: units.Pressure, Unit: "bar", Low: 0.1, High: 16, Default: none, Optional: true}},
		Kind: units.Share, Unit: "%", Source: en12828, Edition: "EN 12828:2012+A1:2014 (from memory)",
		check: func(v *values) error {
			if acceptanceFinal(v) <= bar(v.x[0]) {
				return fmt.Errorf("the final pressure, %s bar, has to be above the pre-charge, %s bar", figure(float64(acceptanceFinal(v))), figure(v.x[0]))
			}
			return nil
		},
		predict: func(v *values) float64 { return 100 * acceptance(bar(v.x[0]), acceptanceFinal(v)) },
		formula: func(v *values, y float64) string {
			final := figure(float64(acceptanceFinal(v)))
			return fmt.Sprintf("(pe - p0)/(pe + 1) = (%s - %s)/(%s + 1) = %s%%", final, figure(v.x[0]), final, figure(y))
		},
	},
	vesselFillModel("vessel-fill", "range of the cold pressure of a sealed system; expected is its lower end", false),
	vesselFillModel("vessel-fill-max", "range of the cold pressure of a sealed system; expected is its upper end", true),
	{
		Name: "relief-valve", Also: []string{"relief", "safety-valve", "prv"}, About: "pressure at which the relief valve of a heating system lifts",
		Keys: []Key{func() Key { k := reliefKey(); k.Name, k.Also = "set", []string{"relief", "valve"}; return k }()},
		Kind: units.Pressure, Unit: "bar", Meter: gauge, Source: "EN 12828 and EN ISO 4126-1, from memory: lifts within 10% of its set pressure, reseats by 20% below",
		Edition:  "EN 12828:2012+A1:2014, EN ISO 4126-1:2013 (from memory)",
		Cautions: []Caution{hotWaterUnderPressure, {"danger", "A relief valve that is blocked, capped or does not lift can let a boiler burst: never plug one, and take the appliance out of use until it is right."}},
		predict:  func(v *values) float64 { return v.x[0] },
		limits:   func(v *values) (float64, float64) { return 0.9 * v.x[0], 1.1 * v.x[0] },
		formula: func(v *values, _ float64) string {
			return fmt.Sprintf("%s bar ± 10%%", figure(v.x[0]))
		},
		more: func(v *values, _ float64) []Detail {
			return []Detail{{"fully open by", 1.1 * v.x[0], "bar"}, {"closed again above", 0.8 * v.x[0], "bar"}}
		},
	},
}

func acceptanceFinal(v *values) bar {
	if v.known(2) {
		return bar(v.x[2])
	}
	return finalPressure(bar(v.x[1]))
}

const (
	fillSize = iota
	fillPrecharge
	fillReserve
	fillVolume
	fillCold
	fillHot
	fillRelief
	fillFinal
	fillExpansion
)

func vesselFillModel(name, about string, upper bool) *Model {
	final := func(v *values) bar {
		if v.known(fillFinal) {
			return bar(v.x[fillFinal])
		}
		return finalPressure(bar(v.x[fillRelief]))
	}
	limits := func(v *values) (float64, float64) {
		low, high := vesselFill(litre(v.x[fillSize]), bar(v.x[fillPrecharge]), final(v), reserveOf(v, fillReserve, fillVolume),
			grown(v, fillVolume, fillCold, fillHot, fillExpansion))
		return float64(low), float64(high)
	}
	return &Model{
		Name: name, About: about,
		Keys: []Key{sizeKey(), prechargeKey(), reserveKey(), systemVolumeKey(), coldKey(), hotKey(), reliefKey(),
			{Name: "final", Also: []string{"pe"}, About: "final pressure; else from the relief valve", Kind: units.Pressure, Unit: "bar", Low: 0.1, High: 16, Default: none, Optional: true},
			expandedKey()},
		Kind: units.Pressure, Unit: "bar", ReadsAlso: []string{"pressure"}, Meter: gauge, Source: en12828, Edition: "EN 12828:2012+A1:2014 (from memory)", Cautions: []Caution{hotWaterUnderPressure},
		check: func(v *values) error {
			switch {
			case final(v) <= bar(v.x[fillPrecharge]):
				return fmt.Errorf("the pre-charge, %s bar, has to be below the final pressure, %s bar", figure(v.x[fillPrecharge]), figure(float64(final(v))))
			case float64(reserveOf(v, fillReserve, fillVolume)) >= v.x[fillSize]:
				return fmt.Errorf("a reserve of %s l does not fit into a vessel of %s l: say reserve=... or fit a larger one", figure(float64(reserveOf(v, fillReserve, fillVolume))), figure(v.x[fillSize]))
			}
			return hotterThanCold(fillCold, fillHot)(v)
		},
		predict: func(v *values) float64 {
			low, high := limits(v)
			if upper {
				return high
			}
			return low
		},
		limits: limits,
		formula: func(v *values, _ float64) string {
			low, high := limits(v)
			return fmt.Sprintf("lowest Vn(p0 + 1)/(Vn - Vwr) - 1 = %s bar; highest (pe + 1)/(1 + Ve(pe + 1)/(Vn(p0 + 1))) - 1 = %s bar", figure(low), figure(high))
		},
		remark: func(_ *Judgement, v *values) string {
			if low, high := limits(v); low > high {
				return "no cold pressure serves: the vessel is too small for this system"
			}
			return ""
		},
	}
}
