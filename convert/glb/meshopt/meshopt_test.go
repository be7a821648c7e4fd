package meshopt

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The specification's own example of one group (appendix A, mode 0).
func TestGroupOfTheSpecification(t *testing.T) {
	in, err := hex.DecodeString("175ff0bc77a9210034b5")
	require.NoError(t, err)
	var g [group]byte
	rest, err := unpackGroup(in, &g, 2)
	require.NoError(t, err)
	require.Empty(t, rest)
	var got []int
	for _, d := range g {
		got = append(got, int(int8(unzigzag(d))))
	}
	require.Equal(t, []int{-1, -4, -3, 26, -91, 0, -6, 6, -4, -4, 5, -5, 1, -1, 0, 0}, got)
	require.Equal(t, in, packBits(nil, &g, 4))
}

func TestUvarintOfTheSpecification(t *testing.T) {
	for in, want := range map[string]uint32{"\x7f": 0x7f, "\x81\x04": 0x201} {
		v, rest, ok := uvarint([]byte(in))
		require.True(t, ok)
		require.Empty(t, rest)
		require.Equal(t, want, v)
	}
}

func TestAttributesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stride := 4 * rapid.IntRange(1, 64).Draw(t, "stride")
		count := rapid.IntRange(0, 600).Draw(t, "count")
		spread := rapid.SampledFrom([]int{1, 3, 16, 256}).Draw(t, "spread")
		data := make([]byte, stride*count)
		seed := rapid.Uint64().Draw(t, "seed")
		for i := range data {
			seed = seed*6364136223846793005 + 1442695040888963407
			data[i] = byte(int(seed>>33) % spread)
			if i >= stride {
				data[i] += data[i-stride]
			}
		}
		packed := PackAttributes(data, stride)
		got, err := UnpackAttributes(packed, count, stride)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, got))
		_, err = UnpackAttributes(append(packed[:1:1], append([]byte{0}, packed[1:]...)...), count, stride)
		require.Error(t, err)
	})
}

// turned is the least of a triangle's three writings.
func turned(t [3]uint32) [3]uint32 {
	least := t
	for range 2 {
		t = [3]uint32{t[1], t[2], t[0]}
		if slices.Compare(t[:], least[:]) < 0 {
			least = t
		}
	}
	return least
}

func TestTrianglesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reach := rapid.Uint32Range(1, 1<<31).Draw(t, "reach")
		if rapid.Bool().Draw(t, "near") {
			reach = 1 + reach%40
		}
		index := rapid.SliceOfN(rapid.Uint32Range(0, reach), 0, 300).Draw(t, "index")
		index = index[:len(index)/3*3]
		if rapid.Bool().Draw(t, "by use") { // numbered as they are met
			number := map[uint32]uint32{}
			for i, v := range index {
				if _, ok := number[v]; !ok {
					number[v] = uint32(len(number))
				}
				index[i] = number[v]
			}
		}
		got, err := UnpackTriangles(PackTriangles(index), len(index))
		require.NoError(t, err)
		require.Len(t, got, len(index))
		for i := 0; i < len(index); i += 3 {
			require.Equal(t, turned([3]uint32(index[i:])), turned([3]uint32(got[i:])))
		}
	})
}

// A strip takes a byte a triangle.
func TestStripTakesAByteATriangle(t *testing.T) {
	var index []uint32
	for i := range uint32(1000) {
		index = append(index, i+i%2, i+1-i%2, i+2)
	}
	require.Len(t, PackTriangles(index), 1+1000+16)
}

func TestIndicesOfTheSpecification(t *testing.T) {
	// 5 and 1000 by turns from two bases, each one higher than before.
	b := []byte{indicesHeader}
	for _, d := range []uint64{5 << 2, 1000<<2 | 1, 1 << 2, 1<<2 | 1, 2 | 0<<2, 1 << 2} {
		b = binary.AppendUvarint(b, d)
	}
	got, err := UnpackIndices(append(b, 0, 0, 0, 0), 6)
	require.NoError(t, err)
	require.Equal(t, []uint32{5, 1000, 6, 1001, 5, 6}, got)
}

func TestUnitVectorsComeNear(t *testing.T) {
	least := 1.0
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-1, 1).Draw(t, "z")
		s, c := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "angle"))
		r := math.Sqrt(1 - z*z)
		v := [3]float64{r * c, r * s, z}
		element, decoded := PackUnit(v)
		again := slices.Clone(element[:])
		require.True(t, Unfilter("OCTAHEDRAL", again, 4))
		require.Equal(t, decoded[:], again)
		near := cosine(v, decoded)
		least = min(least, near)
		require.Greater(t, near, math.Cos(0.75*math.Pi/180), "%v", v)
	})
	t.Logf("largest angle %.3f°", math.Acos(least)*180/math.Pi)
}

func TestAxesStayAxes(t *testing.T) {
	for k := range 3 {
		for _, sign := range []float64{1, -1} {
			var v [3]float64
			var want [4]byte
			v[k], want[k] = sign, byte(int8(127*sign))
			_, got := PackUnit(v)
			require.Equal(t, want, got)
		}
	}
	a, _ := PackUnit([3]float64{1e-17, -1e-17, -1})
	b, _ := PackUnit([3]float64{-1e-17, 1e-17, -1})
	require.Equal(t, a, b)
}

func TestExponentialFilter(t *testing.T) {
	b := binary.LittleEndian.AppendUint32(nil, 0xfe<<24|3) // 3 · 2⁻²
	b = binary.LittleEndian.AppendUint32(b, 2<<24|0xffffff)
	require.True(t, Unfilter("EXPONENTIAL", b, 8))
	require.Equal(t, float32(0.75), math.Float32frombits(binary.LittleEndian.Uint32(b)))
	require.Equal(t, float32(-4), math.Float32frombits(binary.LittleEndian.Uint32(b[4:])))
	require.False(t, Unfilter("QUATERNION", b, 8))
}

func FuzzUnpack(f *testing.F) {
	f.Add(PackAttributes([]byte{1, 2, 3, 4, 9, 2, 3, 200}, 4), 2, 4)
	f.Add(PackTriangles([]uint32{0, 1, 2, 2, 1, 3, 7, 8, 9, 9, 3, 0}), 12, 4)
	f.Add([]byte{indicesHeader, 20, 4, 0, 0, 0, 0}, 2, 2)
	f.Fuzz(func(t *testing.T, b []byte, count, stride int) {
		if count < 0 || count > 1<<24 {
			return
		}
		if data, err := UnpackAttributes(b, count, stride); err == nil {
			require.Len(t, data, count*stride)
			again, err := UnpackAttributes(PackAttributes(data, stride), count, stride)
			require.NoError(t, err)
			require.True(t, bytes.Equal(data, again))
		}
		if index, err := UnpackTriangles(b, count); err == nil {
			require.Len(t, index, count)
		}
		if index, err := UnpackIndices(b, count); err == nil {
			require.Len(t, index, count)
		}
	})
}
