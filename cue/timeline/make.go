package timeline

import (
	"reflect"

	"limn/fixtures"
)

// alike says whether two descriptions of a light say the same, wherever they are
// written: a comment more in a profile, or a folder by another name, makes no other
// light of it.
func alike[T any](a, b *T) bool { return equal(reflect.ValueOf(a), reflect.ValueOf(b)) }

var origin = reflect.TypeFor[fixtures.Origin]()

// equal is reflect.DeepEqual for trees, but for where things are written.
func equal(a, b reflect.Value) bool {
	if a.Type() == origin {
		return true
	}
	switch a.Kind() {
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() || a.UnsafePointer() == b.UnsafePointer() {
			return a.IsNil() == b.IsNil()
		}
		return equal(a.Elem(), b.Elem())
	case reflect.Struct:
		for i := range a.NumField() {
			if !equal(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !equal(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Map, reflect.Interface, reflect.Func, reflect.Chan:
		return a.CanInterface() && b.CanInterface() && reflect.DeepEqual(a.Interface(), b.Interface())
	}
	return a.Equal(b)
}
