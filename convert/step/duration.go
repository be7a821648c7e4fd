package step

import (
	"regexp"
	"strings"
)

var durations = func() *regexp.Regexp {
	of := func(units string) (parts string) {
		for _, u := range units {
			parts += `(?:(\d+(?:[.,]\d+)?)` + string(u) + `)?`
		}
		return parts
	}
	return regexp.MustCompile(`^P` + of("YMWD") + `(?:T` + of("HMS") + `)?$`)
}()

// Duration gives the years, months, weeks, days, hours, minutes and seconds of a duration of
// ISO 8601, as it writes them, "" where it says none. It is nil of what is none, or is below
// nothing.
func Duration(text string) []string {
	found := durations.FindStringSubmatch(text)
	if found == nil || strings.HasSuffix(text, "P") || strings.HasSuffix(text, "T") {
		return nil
	}
	return found[1:]
}
