package kept

import "reflect"

// Size is about how many bytes a value takes with all that it leads to, for [Work].Bytes. What it reaches in two ways counts once; functions
// and channels count as their pointers.
func Size(value any) int64 {
	if value == nil {
		return 0
	}
	v := reflect.ValueOf(value)
	return int64(v.Type().Size()) + behind(v, map[uintptr]bool{})
}

// behind is what a value leads to, beside the value itself. seen holds the places that were counted.
func behind(v reflect.Value, seen map[uintptr]bool) (bytes int64) {
	switch v.Kind() {
	case reflect.String:
		return int64(v.Len())
	case reflect.Pointer:
		if v.IsNil() || seen[v.Pointer()] {
			return 0
		}
		seen[v.Pointer()] = true
		return int64(v.Type().Elem().Size()) + behind(v.Elem(), seen)
	case reflect.Interface:
		if v.IsNil() {
			return 0
		}
		return int64(v.Elem().Type().Size()) + behind(v.Elem(), seen)
	case reflect.Slice:
		if v.Cap() == 0 || seen[v.Pointer()] {
			return 0
		}
		seen[v.Pointer()] = true
		bytes = int64(v.Cap()) * int64(v.Type().Elem().Size())
		fallthrough
	case reflect.Array:
		for i := 0; i < v.Len() && leads(v.Type().Elem()); i++ {
			bytes += behind(v.Index(i), seen)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			bytes += behind(v.Field(i), seen)
		}
	case reflect.Map:
		for at := v.MapRange(); at.Next(); {
			bytes += int64(v.Type().Key().Size()+v.Type().Elem().Size()) + behind(at.Key(), seen) + behind(at.Value(), seen)
		}
	}
	return bytes
}

// leads tells whether values of a type may lead anywhere: of numbers a million need not be looked at one by one.
func leads(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Array:
		return leads(t.Elem())
	case reflect.Struct:
		for i := range t.NumField() {
			if leads(t.Field(i).Type) {
				return true
			}
		}
		return false
	}
	return t.Kind() > reflect.Complex128
}
