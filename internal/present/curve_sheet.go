package present

import (
	"fmt"

	"kg/internal/catalogue"
)

// CurveSheet draws the share of first visits against the budget, on one sheet.
func CurveSheet(s catalogue.StockPlan) []byte {
	d := newDrawing(sheetWidth, sheetHeight, "")
	d.text(margin, margin+5, 5, style{bold: true}, fmt.Sprintf("First visits: %d call-outs, %d slots", s.Jobs, s.Slots))
	d.text(margin, margin+10, 2.8, style{}, fmt.Sprintf("At a budget of %d minutes of paid work %s are closed at the first visit, at most %s could be.", s.Budget, percent(s.Share), percent(s.Bound)))
	const left, bottom, top = margin + 16, sheetHeight - margin - 14, margin + 20
	const right = sheetWidth - margin - 4
	last := s.Curve[len(s.Curve)-1].Budget
	x := func(budget float64) float64 { return left + (right-left)*budget/last }
	y := func(share float64) float64 { return bottom - (bottom-top)*share }
	for i := range 11 {
		share := float64(i) / 10
		d.line(left, y(share), right, y(share), 0.1)
		d.text(margin, y(share)+1, 3, style{}, fmt.Sprintf("%.0f %%", 100*share))
	}
	path, to := "", "M"
	for _, point := range s.Curve {
		path += fmt.Sprintf("%s%.2f %.2f", to, x(point.Budget), y(point.Share))
		to = "L"
		d.text(x(point.Budget)-3, bottom+5, 3, style{}, fmt.Sprintf("%.0f", point.Budget))
	}
	d.path(path, 0.6)
	d.line(x(float64(s.Budget)), top, x(float64(s.Budget)), bottom, 0.25)
	d.line(left, y(s.Bound), right, y(s.Bound), 0.25)
	d.text(right-60, y(s.Bound)-1, 3, style{}, "bound at this budget")
	d.text(left, bottom+11, 3, style{}, "budget, minutes of paid work")
	return d.close()
}
