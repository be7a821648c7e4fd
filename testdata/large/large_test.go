package large

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// xmllint (libxml2) holds a small plan of the same make against the schema.
func TestWrittenPlanFitsTheSchema(t *testing.T) {
	xmllint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("xmllint is not there")
	}
	var plan bytes.Buffer
	require.NoError(t, Write(&plan, Size{Items: 400, Assemblies: 4, Operations: 40, Steps: 10}))
	name := filepath.Join(t.TempDir(), "plan.xml")
	require.NoError(t, os.WriteFile(name, plan.Bytes(), 0o666))
	out, err := exec.Command(xmllint, "--noout", "--schema", "../../schema/plan.xsd", name).CombinedOutput()
	require.NoError(t, err, "%s", out)
}
