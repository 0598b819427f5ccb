package tariff

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"firstfix/internal/maybe"

	"pgregory.net/rapid"
)

// Worked by hand; there is no standard for prices.
func TestMoney(t *testing.T) {
	for _, c := range []struct {
		in, out string
		micros  Money
	}{
		{"0.09", "0.09", 90_000}, {"12", "12.00", 12_000_000}, {".5", "0.50", 500_000}, {"0.0755", "0.0755", 75_500},
		{"0", "0.00", 0}, {"0.000001", "0.000001", 1}, {"100000", "100000.00", 100_000_000_000},
	} {
		m, err := ParseMoney(c.in)
		if err != nil || m != c.micros || m.String() != c.out {
			t.Errorf("ParseMoney(%q) = %d (%s), %v; want %d, %s", c.in, m, m, err, c.micros, c.out)
		}
	}
	for _, bad := range []string{"", ".", "1.", "-1", "+1", "0,09", "1e3", "0.0000001", "100000.01", "1234567", " 1", "1 ", "1.2.3", "٣"} {
		var e *AmountError
		if m, err := ParseMoney(bad); !errors.As(err, &e) {
			t.Errorf("ParseMoney(%q) = %v, %v; want an error", bad, m, err)
		}
	}
	if got := Money(-90_000).String(); got != "-0.09" {
		t.Errorf("a debt is written %q", got)
	}
}

func TestPrice(t *testing.T) {
	for _, c := range []struct{ in, amount, currency string }{
		{"0.09EUR", "0.09", "EUR"}, {"0.09 EUR", "0.09", "EUR"}, {"EUR 0.09", "0.09", "EUR"}, {"€0.09", "0.09", "€"}, {" 7 pence ", "7.00", "pence"}, {"0.09", "0.09", ""},
	} {
		m, currency, err := ParsePrice(c.in)
		if err != nil || m.String() != c.amount || currency != c.currency {
			t.Errorf("ParsePrice(%q) = %s, %q, %v", c.in, m, currency, err)
		}
	}
	for _, bad := range []string{"", "EUR", "EUR 1 EUR", "1/2 EUR", "0,09EUR", "-1 EUR", "1 EUR per part", "1 averyveryverylongname"} {
		if m, currency, err := ParsePrice(bad); err == nil {
			t.Errorf("ParsePrice(%q) = %s, %q; want an error", bad, m, currency)
		}
	}
}

func TestMoneyRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := Money(rapid.Int64Range(0, maxAmount*unit).Draw(rt, "micros"))
		if back, err := ParseMoney(m.String()); err != nil || back != m {
			rt.Fatalf("%d is written %s and read as %d, %v", m, m, back, err)
		}
	})
}

// TestMonth: sums worked by hand.
func TestMonth(t *testing.T) {
	// 31 days of 24 hours, one report in 15 minutes: 31 * 96 = 2976.
	if got := PerMonth(15 * time.Minute); got != 2976 {
		t.Errorf("%d reports a month at one in 15 minutes", got)
	}
	if PerMonth(0) != 0 || PerMonth(7*24*time.Hour) != 5 { // days 0, 7, 14, 21, 28
		t.Errorf("%d, %d", PerMonth(0), PerMonth(7*24*time.Hour))
	}
	flat := Flat(90_000, "EUR")
	bill, err := flat.Month(Usage{Parts: 2976})
	if err != nil || bill.Total.In("EUR") != "267.84 EUR" { // 2976 * 0.09
		t.Errorf("%+v, %v", bill, err)
	}
	ring := Tariff{Currency: "EUR", PerPart: 90_000, Monthly: 2_000_000, Included: 50, PerReport: maybe.Known(Money(10_000)),
		Bundles: []Bundle{{100, 5_000_000}, {500, 20_000_000}}}
	// 744 parts: 50 within the fee leave 694. 500 + 100 for 25.00, 94 more: as a bundle 5.00
	// instead of 8.46. With the fee 2.00 + 20.00 + 2 * 5.00; 744 reports at 0.01 are 7.44.
	bill, err = ring.Month(Usage{Parts: 744, Reports: 744, Arrived: 3})
	want := []Item{{"monthly fee", 1, 2_000_000, 2_000_000}, {"parts within the fee", 50, 0, 0}, {"bundle of 100 parts", 2, 5_000_000, 10_000_000}, {"bundle of 500 parts", 1, 20_000_000, 20_000_000}, {"status reports", 744, 10_000, 7_440_000}}
	if err != nil || !slices.Equal(bill.Items, want) || bill.Total.String() != "39.44" || len(bill.Missing) != 1 {
		t.Errorf("%+v, %v", bill, err)
	}
	if n, ok := ring.BreakEven(ring.Bundles[0]); n != 56 || !ok { // 5.00 / 0.09 = 55.6
		t.Errorf("the bundle pays from %d parts, %v", n, ok)
	}
	if n, ok := ring.BreakEven(Bundle{10, 1_000_000}); ok {
		t.Errorf("a bundle of 10 for 1.00 pays from %d parts", n)
	}
	var many *TooManyError
	if _, err := ring.Month(Usage{Parts: MaxParts + 1}); !errors.As(err, &many) {
		t.Errorf("too many parts: %v", err)
	}
}

// TestCheapest: no other choice of bundles is cheaper, by trying them all.
func TestCheapest(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		tariff := Tariff{PerPart: Money(rapid.Int64Range(0, 20).Draw(rt, "part"))}
		for range rapid.IntRange(0, 3).Draw(rt, "bundles") {
			tariff.Bundles = append(tariff.Bundles, Bundle{rapid.IntRange(1, 12).Draw(rt, "parts"), Money(rapid.Int64Range(0, 100).Draw(rt, "price"))})
		}
		n := rapid.IntRange(0, 30).Draw(rt, "n")
		bill, err := tariff.Month(Usage{Parts: n})
		if err != nil {
			rt.Fatal(err)
		}
		var try func(i, left int) Money
		try = func(i, left int) Money {
			if i == len(tariff.Bundles) {
				return tariff.Cost(max(left, 0))
			}
			best := try(i+1, left)
			if left > 0 {
				if with := tariff.Bundles[i].Price + try(i, left-tariff.Bundles[i].Parts); with < best {
					best = with
				}
			}
			return best
		}
		if want := try(0, n); bill.Total != want {
			rt.Fatalf("%+v: %d parts for %s, but %s is possible", tariff, n, bill.Total, want)
		}
		sum := Money(0)
		for _, i := range bill.Items {
			sum += i.Total
		}
		if sum != bill.Total {
			rt.Fatalf("the lines make %s, the total says %s", sum, bill.Total)
		}
	})
}

func TestFile(t *testing.T) {
	var problems []string
	add := func(path, was, want, nearest string) { problems = append(problems, path+": "+was) }
	f := File{Name: "ring", Source: "contract of March", Currency: "EUR", PerPart: "0.09", Monthly: "2", Included: 50, PerReport: "0.01", Bundles: []BundleFile{{100, "5.00"}}}
	got := f.Tariff(add)
	if len(problems) != 0 || got.PerPart != 90_000 || got.Monthly != 2_000_000 || got.Included != 50 || got.PerReport != maybe.Known(Money(10_000)) || got.Abroad.IsKnown() || !slices.Equal(got.Bundles, []Bundle{{100, 5_000_000}}) {
		t.Errorf("%+v, %q", got, problems)
	}
	bad := File{PerPart: "9 ct", Included: -1, Bundles: []BundleFile{{0, "1"}, {5, ""}, {5, "x"}}}
	bad.Tariff(add)
	want := []string{`tariff: no name`, `currency: ""`, `per_part: "9 ct"`, `parts_included: -1`, `bundles[0].parts: 0`, `bundles[1]: a bundle without a price`, `bundles[2].price: "x"`}
	if !slices.Equal(problems, want) {
		t.Errorf("problems %q, want %q", problems, want)
	}
	problems = nil
	many := File{Name: "x", Currency: "EUR", PerPart: "0", Bundles: make([]BundleFile, MaxBundles+1)}
	if many.Tariff(add); len(problems) != 1 {
		t.Errorf("%q", problems)
	}
}

// TestDocuments: schema and document know the keys of the file.
func TestDocuments(t *testing.T) {
	raw, err := os.ReadFile("../../../docs/formats/tariff.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema struct {
		Properties map[string]struct {
			Items struct{ Properties map[string]any }
		}
	}
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	doc, err := os.ReadFile("../../../docs/formats/tariff.md")
	if err != nil {
		t.Fatal(err)
	}
	keys := func(of reflect.Type) (list []string) {
		for i := range of.NumField() {
			list = append(list, of.Field(i).Tag.Get("yaml"))
		}
		return list
	}
	for _, k := range keys(reflect.TypeFor[File]()) {
		if _, ok := schema.Properties[k]; !ok || !strings.Contains(string(doc), "`"+k+"`") {
			t.Errorf("schema or document lack %s", k)
		}
	}
	for _, k := range keys(reflect.TypeFor[BundleFile]()) {
		if _, ok := schema.Properties["bundles"].Items.Properties[k]; !ok || !strings.Contains(string(doc), "`"+k+"`") {
			t.Errorf("schema or document lack %s of a bundle", k)
		}
	}
	if len(schema.Properties) != len(keys(reflect.TypeFor[File]())) {
		t.Errorf("the schema has %d keys", len(schema.Properties))
	}
}

func FuzzPrice(f *testing.F) {
	for _, s := range []string{"0.09EUR", "EUR 0.09", "€.5", "1", "..", "1EUR2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, currency, err := ParsePrice(s)
		if err != nil {
			return
		}
		if m < 0 || m > maxAmount*unit {
			t.Fatalf("%q is %d", s, m)
		}
		if back, again, err := ParsePrice(m.In(currency)); err != nil || back != m || again != currency {
			t.Fatalf("%q is written %q and read as %v %q, %v", s, m.In(currency), back, again, err)
		}
	})
}

// Enough: 20 ms for the largest month; a person waits for it.
func BenchmarkMonth(b *testing.B) {
	t := Tariff{PerPart: 90_000, Bundles: []Bundle{{100, 5_000_000}, {500, 20_000_000}, {30, 2_000_000}}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := t.Month(Usage{Parts: MaxParts}); err != nil {
			b.Fatal(err)
		}
	}
}
