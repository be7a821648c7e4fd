package rules

import (
	"regexp"
	"strings"
)

var durations = regexp.MustCompile(`^P(\d+Y)?(\d+M)?(\d+W)?(\d+D)?(T(\d+([.,]\d+)?H)?(\d+([.,]\d+)?M)?(\d+([.,]\d+)?S)?)?$`)

// isDuration reports a duration of ISO 8601 that is not below nothing.
func isDuration(s string) bool {
	return durations.MatchString(s) && !strings.HasSuffix(s, "P") && !strings.HasSuffix(s, "T")
}
