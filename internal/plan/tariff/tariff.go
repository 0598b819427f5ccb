// Package tariff works out what texts cost: one text, a month of them, and the
// cheapest way to buy them ahead.
//
// # What it promises
//
// Amounts are exact ([Money]); the currency is a text and is never converted. A
// month has 31 days, so that a budget that holds for it holds for every month.
// What the tariff does not say is not assumed to be free: it is said to be
// missing.
//
// # What it leaves to others
//
// How many parts a text takes is known to wire/sms. Prices come from the person:
// none is built in.
//
// # Where to start
//
// Read [Tariff], then [Tariff.Month]; docs/formats/tariff.md is its file.
package tariff

import (
	"fmt"
	"time"

	"firstfix/internal/maybe"
)

// A Tariff is what a contract asks for texts.
type Tariff struct {
	Name      string
	Source    string // where the prices were read, and when
	Currency  string // as a text: "EUR"
	PerPart   Money  // each part sent
	Abroad    maybe.Value[Money]
	PerReport maybe.Value[Money] // each status report
	Arrived   maybe.Value[Money] // each part that arrives
	Monthly   Money              // the fee, whatever happens
	Included  int                // parts a month within the fee
	Bundles   []Bundle           // parts that can be bought ahead, any number of times
}

// A Bundle is a number of parts for one price.
type Bundle struct {
	Parts int
	Price Money
}

// Flat is a tariff of which only the price of a part is known.
func Flat(perPart Money, currency string) Tariff {
	return Tariff{Currency: currency, PerPart: perPart}
}

// Limits, each with its reason.
const (
	// MaxParts is the most parts of one month that are worked out: one every 13 s.
	// Who sends more wants a data connection, not texts.
	MaxParts = 200_000
	// MaxBundles is how many kinds of bundle a tariff can have; operators list some.
	MaxBundles = 8
	// MonthDays is the longest month.
	MonthDays = 31
)

// Month is the longest month.
const Month = MonthDays * 24 * time.Hour

// PerMonth is how many reports leave in a month at one every interval; 0 for none.
func PerMonth(interval time.Duration) int {
	if interval <= 0 {
		return 0
	}
	return int((Month + interval - 1) / interval)
}

// Cost is the price of so many parts, without fee and bundles. The currency is the tariff's.
func (t *Tariff) Cost(parts int) Money { return t.PerPart * Money(parts) }

// Usage is what a month uses up.
type Usage struct {
	Parts   int // sent at home
	Abroad  int // sent abroad
	Reports int // status reports
	Arrived int // parts that arrive
}

// An Item is one line of a bill.
type Item struct {
	What  string
	Count int
	Each  Money
	Total Money
}

// A Bill is a month in figures.
type Bill struct {
	Items   []Item
	Total   Money
	Missing []string // what the tariff gives no price for
}

// A TooManyError is a usage that is beyond texts.
type TooManyError struct{ Had int }

func (e *TooManyError) Error() string {
	return fmt.Sprintf("tariff: %d in a month: want 0 to %d; for more a data connection is meant", e.Had, MaxParts)
}

// Month is the least that a month with this usage costs.
func (t *Tariff) Month(u Usage) (Bill, error) {
	for _, n := range []int{u.Parts, u.Abroad, u.Reports, u.Arrived} {
		if n < 0 || n > MaxParts {
			return Bill{}, &TooManyError{Had: n}
		}
	}
	var b Bill
	add := func(what string, count int, each Money) {
		if count > 0 {
			b.Items = append(b.Items, Item{what, count, each, each * Money(count)})
			b.Total += each * Money(count)
		}
	}
	if t.Monthly > 0 {
		add("monthly fee", 1, t.Monthly)
	}
	free := min(u.Parts, t.Included)
	add("parts within the fee", free, 0)
	bought, single := t.cheapest(u.Parts - free)
	for i, n := range bought {
		add(fmt.Sprintf("bundle of %d parts", t.Bundles[i].Parts), n, t.Bundles[i].Price)
	}
	add("parts", single, t.PerPart)
	for _, x := range []struct {
		what  string
		count int
		price maybe.Value[Money]
	}{{"parts sent abroad", u.Abroad, t.Abroad}, {"status reports", u.Reports, t.PerReport}, {"parts that arrive", u.Arrived, t.Arrived}} {
		price, known := x.price.Get()
		if !known && x.count > 0 {
			b.Missing = append(b.Missing, fmt.Sprintf("%d %s: the tariff has no price for them", x.count, x.what))
			continue
		}
		add(x.what, x.count, price)
	}
	return b, nil
}

// cheapest says how many of each bundle, and how many single parts, hold n parts
// for the least money. Of equals the one with fewer bundles wins.
func (t *Tariff) cheapest(n int) (bought []int, single int) {
	bought = make([]int, len(t.Bundles))
	if n <= 0 {
		return bought, 0
	}
	// least[i] is the least that i parts cost, last[i] what is bought last: a bundle, or -1 for one part.
	least, last := make([]Money, n+1), make([]int8, n+1)
	for i := 1; i <= n; i++ {
		least[i], last[i] = least[i-1]+t.PerPart, -1
		for j, bundle := range t.Bundles {
			if bundle.Parts <= 0 {
				continue
			}
			if cost := least[max(i-bundle.Parts, 0)] + bundle.Price; cost < least[i] {
				least[i], last[i] = cost, int8(j)
			}
		}
	}
	for i := n; i > 0; {
		if last[i] < 0 {
			single++
			i--
			continue
		}
		bought[last[i]]++
		i -= t.Bundles[last[i]].Parts
	}
	return bought, single
}

// BreakEven is from how many parts a month on the bundle is cheaper than single
// parts; false when it never is.
func (t *Tariff) BreakEven(b Bundle) (parts int, ok bool) {
	if t.PerPart <= 0 || b.Parts <= 0 {
		return 0, false
	}
	parts = int(b.Price/t.PerPart) + 1
	return parts, parts <= b.Parts
}
