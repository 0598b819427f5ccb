package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"firstfix/internal/judge/finding"
	"firstfix/internal/judge/verdict"
)

//go:embed page.html
var pageSource string

//go:embed page.css
var pageCSS string

// HTML writes the verdict as one self-contained page: no script, nothing
// loaded, made to be printed.
func HTML(w io.Writer, v *verdict.Verdict) error {
	page, err := template.New("page").Funcs(template.FuncMap{
		"mark": mark, "quote": quote, "arrow": arrow, "chance": chance, "takes": takes,
		"place":      func(e finding.Evidence) string { return place(e, v.TimesKnown) },
		"placeGood":  func(e finding.Evidence) string { return place(e, v.Against != nil && v.Against.TimesKnown) },
		"stood":      settingSays,
		"took":       func(ms float64) string { return milliseconds(ms, true) },
		"slug":       func(s verdict.State) string { return stateClass[s] },
		"understood": understood, "together": togetherSays,
		"strip":    stripOf,
		"pduTitle": func(p verdict.PDU) string { return pduTitle(&p, v.TimesKnown) },
		"percent":  func(p float64) string { return fmt.Sprintf("%.1f%%", p*100) },
		"ms": func(m interface{ Get() (float64, bool) }) string {
			value, known := m.Get()
			return milliseconds(value, known)
		},
		"css": func() template.CSS { return template.CSS(pageCSS) },
		"add": func(a, b int) int { return a + b },
	}).Parse(pageSource)
	if err != nil {
		return fmt.Errorf("report: the page's template: %w", err)
	}
	return page.Execute(w, v)
}

var stateClass = map[verdict.State]string{
	verdict.Holds: "holds", verdict.Weak: "weak", verdict.Broken: "broken",
	verdict.NotReached: "unreached", verdict.NotShown: "unshown",
}
