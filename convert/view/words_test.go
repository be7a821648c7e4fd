package view

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/step"
)

// spokenTexts are written lang:text; the language may be none.
func spokenTexts(all ...string) (texts step.Texts) {
	for _, s := range all {
		lang, text, _ := strings.Cut(s, ":")
		texts = append(texts, step.Localized{Lang: lang, Text: step.Text{Value: text}})
	}
	return texts
}

var gravities = []struct {
	texts step.Texts
	want  string
}{
	{spokenTexts("en:WARNING"), "warning"},
	{spokenTexts("en-US:Caution!"), "caution"},
	{spokenTexts("pt:AVISO"), "warning"},
	{spokenTexts("es:AVISO"), "notice"},
	{spokenTexts(":AVISO"), "other"},
	{spokenTexts("en:ATTENTION"), "other"},
	{spokenTexts("fr:ATTENTION"), "caution"},
	{spokenTexts(":ATTENTION"), "other"},
	{spokenTexts("de:ACHTUNG"), "other"},
	{spokenTexts(":DANGER"), "danger"},
	{spokenTexts("ja:NOTICE"), "other"},
	{spokenTexts("en:NOTICE", "de:WARNUNG"), "warning"},
	{spokenTexts("en:HARK"), "other"},
	{nil, "other"},
}

var choices = []struct {
	lang string
	of   step.Texts
	want string
}{
	{"de", spokenTexts("de-CH:a", "de:b"), "b"},
	{"de-ch", spokenTexts("de:a", "de-CH:b"), "b"},
	{"de-AT", spokenTexts("en:a", "de-CH:b", "de:c"), "b"},
	{"ar", spokenTexts("de:a", "en:b"), "a"},
}

func TestSignalWordsMeanWhatTheyMeanInTheirLanguage(t *testing.T) {
	for _, c := range gravities {
		assert.Equal(t, c.want, gravity(c.texts), "%v", c.texts)
	}
}

func TestTheVeryLanguageIsChosenFirst(t *testing.T) {
	for _, c := range choices {
		assert.Equal(t, c.want, language(c.lang).chosen(c.of).Text.Value, "%s of %v", c.lang, c.of)
	}
}

// The page in the browser decides as the page on paper does.
func TestTheBrowserDecidesTheSame(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed")
	}
	source, err := os.ReadFile("page/src/words.js")
	require.NoError(t, err)
	importing := "import table from '../../words.json';"
	require.Contains(t, string(source), importing)
	var script strings.Builder
	script.WriteString(strings.Replace(string(source), importing, "const table = "+string(wordsText)+";", 1))
	script.WriteString("\nglobalThis.document = { documentElement: {} };\nconst out = [];\n")
	var want []string
	for _, c := range gravities {
		texts, err := json.Marshal(c.texts)
		require.NoError(t, err)
		script.WriteString("out.push(gravity(" + string(texts) + " ?? []));\n")
		want = append(want, c.want)
	}
	for _, c := range choices {
		texts, err := json.Marshal(c.of)
		require.NoError(t, err)
		script.WriteString("speak('" + c.lang + "'); out.push(said(" + string(texts) + "));\n")
		want = append(want, c.want)
	}
	for iso, shown := range map[string]string{"PT0,5H": "0.5 hours", "P0.5D": "0.5 days", "PT1H30M": "1 hour 30 minutes", "PT1.2.3S": "PT1.2.3S", "PT": "PT", "P1DT": "P1DT"} {
		script.WriteString("speak('en'); out.push(duration('" + iso + "'));\n")
		want = append(want, shown)
	}
	script.WriteString("console.log(JSON.stringify(out));\n")
	file := filepath.Join(t.TempDir(), "words.mjs")
	require.NoError(t, os.WriteFile(file, []byte(script.String()), 0o666))
	said, err := exec.Command(node, file).CombinedOutput()
	require.NoError(t, err, "%s", said)
	var got []string
	require.NoError(t, json.Unmarshal(said, &got))
	assert.Equal(t, want, got)
}
