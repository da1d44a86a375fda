package files

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures"
)

// A digest is everything that was written of a shoot's cues and looks, each part
// in words of its own. It is how a plan proves that nothing has changed that
// nobody asked to change.
type digest map[string]string

// The keys of a digest.
func cueKey(name, part string) string  { return "cue\x00" + name + "\x00" + part }
func lookKey(name, part string) string { return "look\x00" + name + "\x00" + part }
func entryKey(source string) string    { return "light\x00" + source }
func exceptKey(look, source string) string {
	return "look\x00" + look + "\x00" + source
}

func digestOf(s *cue.Shoot) digest {
	d := digest{}
	light := func(prefix string, entries map[int]cue.Entry) {
		for i, e := range entries {
			d[prefix+s.Rig.Sources[i].Name] = words(e)
		}
	}
	for i := range s.Looks {
		light(lookKey(s.Looks[i].Name, "light\x00"), s.Looks[i].Light)
	}
	for i := range s.Cues {
		c := &s.Cues[i]
		light(cueKey(c.Name, "light\x00"), c.Light)
		for _, x := range c.Exceptions {
			light(cueKey(c.Name, "look\x00"+x.Look+"\x00"), x.Light)
		}
		for _, p := range c.Cards {
			d[cueKey(c.Name, "card\x00"+s.Cards[p.Card].Name)] = words(p)
		}
		for _, p := range c.Places {
			d[cueKey(c.Name, "place\x00"+s.Rig.Sources[p.Source].Name)] = words(p)
		}
		if c.Camera != nil {
			d[cueKey(c.Name, "camera")] = words(*c.Camera)
		}
		d[cueKey(c.Name, "from")] = c.From
		d[cueKey(c.Name, "angle")] = c.Angle + " " + words(c.Azimuth)
		d[cueKey(c.Name, "looks")] = words(c.Looks)
		d[cueKey(c.Name, "timing")] = words(c.Timing)
		d[cueKey(c.Name, "note")] = c.Note
	}
	for i := range s.Angles {
		d["angle\x00"+s.Angles[i].Name] = words(s.Angles[i])
	}
	for i := range s.Sequences {
		d["sequence\x00"+s.Sequences[i].Name] = words(s.Sequences[i])
	}
	return d
}

// differs is a key, in words, that differs between two digests and is not among
// those that may; "" if there is none. What may is given as key prefixes.
func (d digest) differs(o digest, may map[string]bool) string {
	allowed := func(key string) bool {
		for at := range len(key) + 1 {
			if (at == len(key) || key[at] == 0) && may[key[:at]] {
				return true
			}
		}
		return false
	}
	var found []string
	for key, text := range d {
		if other, ok := o[key]; (!ok || other != text) && !allowed(key) {
			found = append(found, key)
		}
	}
	for key := range o {
		if _, ok := d[key]; !ok && !allowed(key) {
			found = append(found, key)
		}
	}
	if len(found) == 0 {
		return ""
	}
	return strings.ReplaceAll(slices.Min(found), "\x00", " ")
}

// words is a value without the places where it was written.
func words(v any) string {
	var b strings.Builder
	write(&b, reflect.ValueOf(v))
	return b.String()
}

var (
	originType   = reflect.TypeFor[fixtures.Origin]()
	originsType  = reflect.TypeFor[[]fixtures.Origin]()
	stringerType = reflect.TypeFor[fmt.Stringer]()
)

func write(b *strings.Builder, v reflect.Value) {
	switch t := v.Type(); {
	case v.Kind() == reflect.Pointer && v.IsNil():
		b.WriteByte('-')
		return
	case v.Kind() != reflect.Pointer && t.Implements(stringerType) && v.CanInterface():
		b.WriteString(strconv.Quote(v.Interface().(fmt.Stringer).String()))
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		write(b, v.Elem())
	case reflect.Struct:
		b.WriteByte('{')
		for i := range v.NumField() {
			if t := v.Type().Field(i).Type; t == originType || t == originsType {
				continue
			}
			write(b, v.Field(i))
			b.WriteByte(' ')
		}
		b.WriteByte('}')
	case reflect.Slice, reflect.Array:
		b.WriteByte('[')
		for i := range v.Len() {
			write(b, v.Index(i))
			b.WriteByte(' ')
		}
		b.WriteByte(']')
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		for _, k := range keys {
			write(b, k)
			b.WriteByte(':')
			write(b, v.MapIndex(k))
			b.WriteByte(' ')
		}
	case reflect.String:
		b.WriteString(strconv.Quote(v.String()))
	case reflect.Bool:
		b.WriteString(strconv.FormatBool(v.Bool()))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		b.WriteString(strconv.FormatInt(v.Int(), 10))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		b.WriteString(strconv.FormatUint(v.Uint(), 10))
	case reflect.Float32, reflect.Float64:
		b.WriteString(strconv.FormatFloat(v.Float(), 'g', -1, 64))
	case reflect.Interface:
		if v.IsNil() {
			b.WriteByte('-')
			return
		}
		write(b, v.Elem())
	default:
		panic("nothing that is written: " + v.Type().String()) // a mistake of ours
	}
}
