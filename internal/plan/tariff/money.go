package tariff

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Money is an amount in millionths of the currency's unit: exact, also for prices
// of a tenth of a cent.
type Money int64

// unit is one whole unit of a currency.
const unit = 1_000_000

// maxAmount bounds an amount that is read: far above any price of a text, and far
// below what would overflow when multiplied by [MaxParts].
const maxAmount = 100_000

// ParseMoney reads "0.09", "12" or ".5": at most six decimals, a point, no sign.
func ParseMoney(text string) (Money, error) {
	bad := func() (Money, error) { return 0, &AmountError{Had: text} }
	whole, decimals, point := strings.Cut(text, ".")
	if whole == "" && decimals == "" || point && decimals == "" || len(decimals) > 6 || len(whole) > 6 {
		return bad()
	}
	n, err := strconv.ParseUint("0"+whole+(decimals + "000000")[:6], 10, 63)
	if err != nil || strings.ContainsAny(text, "+-") || n > maxAmount*unit {
		return bad()
	}
	return Money(n), nil
}

// An AmountError is a text that is no amount.
type AmountError struct{ Had string }

func (e *AmountError) Error() string {
	return fmt.Sprintf("tariff: %q: want an amount such as 0.09, with a point, at most six decimals and at most %d", e.Had, maxAmount)
}

// String writes at least two decimals, and more where they are needed.
func (m Money) String() string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	decimals := fmt.Sprintf("%06d", int64(m%unit))
	for len(decimals) > 2 && decimals[len(decimals)-1] == '0' {
		decimals = decimals[:len(decimals)-1]
	}
	return fmt.Sprintf("%s%d.%s", sign, int64(m/unit), decimals)
}

// In writes the amount with its currency, "0.09 EUR"; without one, the bare number.
func (m Money) In(currency string) string {
	if currency == "" {
		return m.String()
	}
	return m.String() + " " + currency
}

// maxCurrency bounds a currency's name: three letters are usual (ISO 4217), a
// word is allowed.
const maxCurrency = 12

// ParsePrice reads an amount with its currency on either side, "0.09EUR",
// "0.09 EUR", "EUR 0.09". The currency is a text; without one it is "".
func ParsePrice(text string) (Money, string, error) {
	text = strings.TrimSpace(text)
	from := strings.IndexAny(text, ".0123456789")
	if from < 0 {
		return 0, "", &AmountError{Had: text}
	}
	to := from
	for to < len(text) && strings.IndexByte(".0123456789", text[to]) >= 0 {
		to++
	}
	before, after := strings.TrimSpace(text[:from]), strings.TrimSpace(text[to:])
	currency := before + after
	if before != "" && after != "" || !isCurrency(currency) {
		return 0, "", &AmountError{Had: text}
	}
	m, err := ParseMoney(text[from:to])
	if err != nil {
		return 0, "", &AmountError{Had: text}
	}
	return m, currency, nil
}

// isCurrency says whether text can name a currency: letters and currency signs.
func isCurrency(text string) bool {
	for _, r := range text {
		if !unicode.IsLetter(r) && !unicode.Is(unicode.Sc, r) {
			return false
		}
	}
	return utf8.RuneCountInString(text) <= maxCurrency
}
