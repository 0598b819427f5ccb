package tariff

import (
	"fmt"
	"strconv"

	"firstfix/internal/maybe"
)

// File is a tariff as it stands in a YAML file, docs/formats/tariff.md. Prices are
// texts there, so that 0.09 stays 0.09.
type File struct {
	Name      string       `yaml:"tariff"`
	Source    string       `yaml:"source"`
	Currency  string       `yaml:"currency"`
	PerPart   string       `yaml:"per_part"`
	Abroad    string       `yaml:"per_part_abroad"`
	PerReport string       `yaml:"per_status_report"`
	Arrived   string       `yaml:"per_part_arrived"`
	Monthly   string       `yaml:"monthly_fee"`
	Included  int          `yaml:"parts_included"`
	Bundles   []BundleFile `yaml:"bundles"`
}

// BundleFile is one bundle of a [File].
type BundleFile struct {
	Parts int    `yaml:"parts"`
	Price string `yaml:"price"`
}

// Tariff reads the values; add is told of each that does not fit, with its path
// in the file.
func (f *File) Tariff(add func(path, was, want, nearest string)) Tariff {
	t := Tariff{Name: f.Name, Source: f.Source, Currency: f.Currency, Included: f.Included}
	if f.Name == "" {
		add("tariff", "no name", "a name for the tariff", "")
	}
	if f.Currency == "" || !isCurrency(f.Currency) {
		add("currency", strconv.Quote(f.Currency), "a currency such as EUR", "")
	}
	if f.PerPart == "" {
		add("per_part", "no price", "what one part costs; 0 when it is within the fee", "")
	}
	t.PerPart = amount(add, "per_part", f.PerPart).Or(0)
	t.Abroad = amount(add, "per_part_abroad", f.Abroad)
	t.PerReport = amount(add, "per_status_report", f.PerReport)
	t.Arrived = amount(add, "per_part_arrived", f.Arrived)
	t.Monthly = amount(add, "monthly_fee", f.Monthly).Or(0)
	if f.Included < 0 || f.Included > MaxParts {
		add("parts_included", strconv.Itoa(f.Included), fmt.Sprintf("0 to %d", MaxParts), "")
		t.Included = 0
	}
	if len(f.Bundles) > MaxBundles {
		add("bundles", fmt.Sprintf("%d bundles", len(f.Bundles)), fmt.Sprintf("at most %d", MaxBundles), "")
		return t
	}
	for i, b := range f.Bundles {
		path := fmt.Sprintf("bundles[%d]", i)
		if b.Parts < 1 || b.Parts > MaxParts {
			add(path+".parts", strconv.Itoa(b.Parts), fmt.Sprintf("1 to %d", MaxParts), "")
			continue
		}
		price, known := amount(add, path+".price", b.Price).Get()
		if !known {
			if b.Price == "" {
				add(path, "a bundle without a price", "price", "")
			}
			continue
		}
		t.Bundles = append(t.Bundles, Bundle{b.Parts, price})
	}
	return t
}

// amount reads one price; an empty one is not known.
func amount(add func(path, was, want, nearest string), path, text string) maybe.Value[Money] {
	if text == "" {
		return maybe.Value[Money]{}
	}
	m, err := ParseMoney(text)
	if err != nil {
		add(path, strconv.Quote(text), fmt.Sprintf("an amount such as 0.09, at most %d, without its currency", maxAmount), "")
		return maybe.Value[Money]{}
	}
	return maybe.Known(m)
}
