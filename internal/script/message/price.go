package message

import (
	"fmt"
	"time"

	"firstfix/internal/plan/tariff"
)

// Cost is what an order costs, and a month of such orders.
type Cost struct {
	Currency   string
	PerPart    tariff.Money
	Messages   int // parts times recipients: what is paid
	Once       tariff.Money
	Cheaper    tariff.Money // once, with the cheaper text; means something only with Written.Cheaper
	Every      time.Duration
	PerMonth   int // such orders in 31 days; 0 without Every
	Month      tariff.Bill
	MonthParts int
}

// price works out what the order costs, when a tariff is known.
func (w *Written) price(o *Order) error {
	if o.Tariff == nil {
		return nil
	}
	c := &Cost{Currency: o.Tariff.Currency, PerPart: o.Tariff.PerPart, Messages: len(w.Parts) * len(w.To), Every: o.Every}
	if o.Abroad {
		price, known := o.Tariff.Abroad.Get()
		if !known {
			return &OrderError{"abroad", "a tariff without a price for it", "per_part_abroad in the tariff"}
		}
		c.PerPart = price
	}
	c.Once = c.PerPart * tariff.Money(c.Messages)
	if w.Cheaper != nil {
		c.Cheaper = c.PerPart * tariff.Money(w.Cheaper.Parts*len(w.To))
	}
	w.Cost = c
	if o.Every == 0 {
		return nil
	}
	c.PerMonth = tariff.PerMonth(o.Every)
	c.MonthParts = c.PerMonth * c.Messages
	usage := tariff.Usage{Parts: c.MonthParts}
	if o.Abroad {
		usage = tariff.Usage{Abroad: c.MonthParts}
	}
	if o.Report {
		usage.Reports = c.MonthParts
	}
	var err error
	if c.Month, err = o.Tariff.Month(usage); err != nil {
		return &OrderError{"every", fmt.Sprintf("%s, which is %d parts a month", o.Every, c.MonthParts), fmt.Sprintf("at most %d parts a month; more is a job for a data connection", tariff.MaxParts)}
	}
	return nil
}
