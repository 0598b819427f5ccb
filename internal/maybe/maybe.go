// Package maybe holds values that may not be known.
//
// # What it promises
//
// The zero [Value] is not known. It prints "not known", becomes null in JSON,
// and never turns into a zero by accident: the number comes out only together
// with the word whether it is known.
package maybe

import (
	"encoding/json"
	"fmt"
)

// Value is a T that may not be known.
type Value[T any] struct {
	v     T
	known bool
}

// Known returns a known value.
func Known[T any](v T) Value[T] { return Value[T]{v: v, known: true} }

// Get returns the value and whether it is known. The value of an unknown is
// the zero T and means nothing.
func (m Value[T]) Get() (T, bool) { return m.v, m.known }

// IsKnown says whether the value is known.
func (m Value[T]) IsKnown() bool { return m.known }

// Or returns the value, or other when it is not known.
func (m Value[T]) Or(other T) T {
	if m.known {
		return m.v
	}
	return other
}

// String prints the value, or "not known".
func (m Value[T]) String() string {
	if !m.known {
		return "not known"
	}
	return fmt.Sprint(m.v)
}

// MarshalJSON writes the value, or null.
func (m Value[T]) MarshalJSON() ([]byte, error) {
	if !m.known {
		return []byte("null"), nil
	}
	return json.Marshal(m.v)
}

// UnmarshalJSON reads a value; null is not known.
func (m *Value[T]) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*m = Value[T]{}
		return nil
	}
	var v T
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	*m = Known(v)
	return nil
}
