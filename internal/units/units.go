// Package units owns the units that people write: their names, what kind of quantity
// they are of, and how they convert. Who reads a text says which of them may stand
// there; what they are stands here alone.
package units

import "strings"

// Kind says what sort of quantity a number is.
type Kind uint8

// The kinds of quantities. Each is held in one unit, given here.
const (
	Number        Kind = iota // without a unit
	Word                      // one of a list of words
	Temperature               // degrees Celsius
	Difference                // of temperatures, in kelvin
	Pressure                  // bar, above that of the air around
	Resistance                // ohm
	Voltage                   // volt
	Current                   // ampere
	Power                     // kilowatt
	Flow                      // litres per second
	Volume                    // litre
	Duration                  // second
	Length                    // metre
	Section                   // of a conductor, in square millimetres
	Surface                   // square metre
	Share                     // per cent
	Concentration             // parts per million by volume
	HeatingValue              // megajoule per cubic metre
	Density                   // kilogram per cubic metre
	Enthalpy                  // kilojoule per kilogram
	HeatCapacity              // kilojoule per litre and kelvin
	Line                      // resistance of a line, in ohms per kilometre
	Frequency                 // hertz
	Capacitance               // microfarad
	Kinds                     // how many there are
)

var kindNames = [Kinds]string{
	"plain number", "word", "temperature", "temperature difference", "pressure", "resistance", "voltage",
	"current", "power", "flow", "volume", "time", "length", "cross-section", "area", "percentage",
	"concentration", "heating value", "density", "specific enthalpy", "heat capacity", "resistance per length",
	"frequency", "capacitance",
}

// String names the kind.
func (k Kind) String() string {
	if k < Kinds {
		return kindNames[k]
	}
	return "unknown kind"
}

// Article is the kind with "a" or "an" before it.
func (k Kind) Article() string {
	if name := k.String(); strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + k.String()
}

// Unit is a unit: a figure in it, times Factor and plus Offset, is in the kind's own.
type Unit struct {
	Kind   Kind
	names  string // separated by spaces; the first is the one that is printed
	Factor float64
	Offset float64
}

// Atmosphere is the standard atmosphere in bar (exact).
const Atmosphere = 1.01325

// table holds the names that people write. Factors are exact by definition
// (SI brochure, 9th edition; international yard and pound) unless said otherwise.
// Heads of water are at 4 degrees C, those of mercury at 0, by convention.
var table = []Unit{
	{Number, "- 1", 1, 0},
	{Temperature, "C °C ℃ degC deg degrees degree deg.C celsius centigrade", 1, 0},
	{Temperature, "F °F ℉ degF deg.F fahrenheit", 5.0 / 9, -32 * 5.0 / 9},
	{Temperature, "K kelvin", 1, -273.15},
	{Difference, "K kelvin kelvins C °C ℃ degC deg degrees degree celsius", 1, 0},
	{Difference, "F °F ℉ degF fahrenheit", 5.0 / 9, 0},
	{Difference, "mK", 1e-3, 0},
	{Pressure, "bar barg bars bar(g)", 1, 0},
	{Pressure, "bara bar(a) barabs", 1, -Atmosphere},
	{Pressure, "mbar mb mbarg millibar millibars hPa", 1e-3, 0},
	{Pressure, "Pa pascal", 1e-5, 0},
	{Pressure, "kPa kPag", 1e-2, 0},
	{Pressure, "kPaa kPa(a)", 1e-2, -Atmosphere},
	{Pressure, "MPa", 10, 0},
	{Pressure, "psi psig lb/in2 lbf/in2", 0.0689475729, 0},
	{Pressure, "psia", 0.0689475729, -Atmosphere},
	{Pressure, "inH2O inwg inWC inw.g. iwc inwater inchesofwater inchesH2O \"wg inWG \"WC", 2.4908891e-3, 0},
	{Pressure, "mmH2O mmwg mmWG mmWC", 9.80665e-5, 0},
	{Pressure, "cmH2O cmwg", 9.80665e-4, 0},
	{Pressure, "mH2O mwg mWC mhead mofwater mwater mofhead metresofwater", 9.80665e-2, 0},
	{Pressure, "ftH2O fthead ftwater ftofwater", 2.989067e-2, 0},
	{Pressure, "mmHg torr", 1.33322387e-3, 0},
	{Pressure, "inHg", 3.386389e-2, 0},
	{Pressure, "atm", Atmosphere, 0},
	{Pressure, "kgf/cm2 kg/cm2", 0.980665, 0},
	{Resistance, "ohm Ω Ω ohms R r", 1, 0},
	{Resistance, "kohm k K kΩ kΩ KΩ kohms kilohm kilohms kiloohm kiloohms", 1e3, 0},
	{Resistance, "Mohm MOhm MOHM M MΩ MΩ Mohms MOhms MOHMS megohm megohms meg megaohm megaohms", 1e6, 0},
	{Resistance, "Gohm G GΩ GΩ gigohm gigaohm gigohms", 1e9, 0},
	{Resistance, "mohm mOhm m mΩ mΩ mohms mOhms milliohm milliohms", 1e-3, 0},
	{Voltage, "V volt volts VAC VDC v", 1, 0},
	{Voltage, "mV millivolt millivolts mVDC mVAC", 1e-3, 0},
	{Voltage, "kV", 1e3, 0},
	{Current, "A amp amps ampere amperes", 1, 0},
	{Current, "mA milliamp milliamps", 1e-3, 0},
	{Current, "uA µA μA microamp microamps mcA", 1e-6, 0},
	{Current, "nA", 1e-9, 0},
	{Power, "kW kilowatt kilowatts", 1, 0},
	{Power, "W watt watts", 1e-3, 0},
	{Power, "MW", 1e3, 0},
	{Power, "mW", 1e-6, 0},
	{Power, "BTU/h Btu/hr btuh btu/h BTUH", 2.9307107e-4, 0}, // international table
	{Power, "MBH kBTU/h kbtu/hr", 0.29307107, 0},
	{Power, "hp", 0.745699872, 0},
	{Power, "kcal/h", 1.163e-3, 0},
	{Flow, "l/min lpm L/min ltr/min litres/min litre/min l/m litresperminute litres/minute", 1.0 / 60, 0},
	{Flow, "l/s lps L/s litres/s litre/s litres/sec l/sec", 1, 0},
	{Flow, "l/h l/hr L/h lph litres/h litres/hour", 1.0 / 3600, 0},
	{Flow, "m3/h m³/h m3/hr m^3/h cmh", 1.0 / 3.6, 0},
	{Flow, "m3/s m³/s", 1e3, 0},
	{Flow, "kg/s", 1, 0}, // of cold water, within 0.1 per cent up to 15 degrees C
	{Flow, "gpm gal/min usgpm", 3.785411784 / 60, 0},
	{Flow, "igpm galuk/min", 4.54609 / 60, 0},
	{Flow, "ft3/h cfh", 28.316846592 / 3600, 0},
	{Volume, "l L litre litres liter liters ltr ltrs lt", 1, 0},
	{Volume, "ml mL millilitre millilitres", 1e-3, 0},
	{Volume, "m3 m³ m^3 cum", 1e3, 0},
	{Volume, "dm3 dm³", 1, 0},
	{Volume, "cm3 cc", 1e-3, 0},
	{Volume, "ft3 ft³ ft^3 cuft cu.ft cf cubicfoot cubicfeet", 28.316846592, 0},
	{Volume, "gal usgal gallon gallons", 3.785411784, 0},
	{Volume, "galuk ukgal igal impgal", 4.54609, 0},
	{Duration, "s sec secs second seconds", 1, 0},
	{Duration, "min mins minute minutes m", 60, 0},
	{Duration, "h hr hrs hour hours", 3600, 0},
	{Duration, "ms", 1e-3, 0},
	{Length, "m metre metres meter meters", 1, 0},
	{Length, "mm", 1e-3, 0},
	{Length, "cm", 1e-2, 0},
	{Length, "km", 1e3, 0},
	{Length, "ft foot feet '", 0.3048, 0},
	{Length, "in inch inches \"", 0.0254, 0},
	{Length, "yd yard yards", 0.9144, 0},
	{Section, "mm2 mm² mm^2 sqmm", 1, 0},
	{Surface, "m2 m² m^2 sqm", 1, 0},
	{Surface, "ft2 ft² sqft", 0.09290304, 0},
	{Share, "% percent pc per-cent vol% %vol", 1, 0},
	{Share, "ppm", 1e-4, 0},
	{Concentration, "ppm ppmv vpm", 1, 0},
	{Concentration, "% percent vol%", 1e4, 0},
	{HeatingValue, "MJ/m3 MJ/m³ MJ/m^3", 1, 0},
	{HeatingValue, "kWh/m3 kWh/m³", 3.6, 0},
	{HeatingValue, "BTU/ft3 btu/ft3 btu/cf BTU/cuft", 0.0372589, 0},
	{HeatingValue, "kJ/m3", 1e-3, 0},
	{Density, "kg/m3 kg/m³", 1, 0},
	{Density, "kg/l", 1e3, 0},
	{Enthalpy, "kJ/kg", 1, 0},
	{HeatCapacity, "kJ/(l K) kJ/lK kJ/(lK)", 1, 0},
	{Line, "ohm/km Ω/km Ω/km", 1, 0},
	{Line, "ohm/m Ω/m Ω/m", 1e3, 0},
	{Line, "mohm/m mΩ/m", 1, 0},
	{Frequency, "Hz hertz", 1, 0},
	{Capacitance, "uF µF μF", 1, 0},
}

// Name is how the unit is printed.
func (u *Unit) Name() string {
	if u.Kind == HeatCapacity { // the one whose name has a space in it
		return "kJ/(l K)"
	}
	name, _, _ := strings.Cut(u.names, " ")
	return name
}

// byName maps what people write to units, kind by kind, as it stands and in
// small letters.
var byName = func() (exact [Kinds]map[string]*Unit) {
	for k := range exact {
		exact[k] = map[string]*Unit{}
	}
	for i := range table {
		u := &table[i]
		for name := range strings.FieldsSeq(u.names) {
			exact[u.Kind][name] = u
		}
	}
	for i := range table {
		u := &table[i]
		for name := range strings.FieldsSeq(u.names) {
			if low := strings.ToLower(name); exact[u.Kind][low] == nil {
				exact[u.Kind][low] = u
			}
		}
	}
	return exact
}()

// Find looks a unit of a kind up, as it is written or else in small letters; nil if there
// is none of that name.
func Find(k Kind, name string) *Unit {
	if u := byName[k][name]; u != nil {
		return u
	}
	return byName[k][strings.ToLower(name)]
}

// Usual looks a unit up that a table of models names; the kind's own where it does not.
func Usual(k Kind, name string) *Unit {
	if u := Find(k, name); u != nil {
		return u
	}
	for i := range table {
		if table[i].Kind == k {
			return &table[i]
		}
	}
	return &table[0]
}

// NamesOf lists the printed names of the units of a kind.
func NamesOf(k Kind) []string {
	var out []string
	for i := range table {
		if table[i].Kind == k {
			out = append(out, table[i].Name())
		}
	}
	return out
}

// Of converts a figure in the kind's own unit into this one.
func (u *Unit) Of(x float64) float64 { return (x - u.Offset) / u.Factor }
