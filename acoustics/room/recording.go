package room

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/wav"
)

// recordingDoc is a measured response inside a room file, so that a church is one file.
type recordingDoc struct {
	WAV string `toml:"wav"` // base64
}

// response reads the recording.
func (doc *recordingDoc) response() (*impulse.Response, error) {
	data, err := base64.StdEncoding.DecodeString(strings.Join(strings.Fields(doc.WAV), ""))
	if err != nil {
		return nil, errors.New("recording: wav is damaged (no base64): copy the room file again, whole")
	}
	resp, err := impulse.Decode(data)
	if err != nil {
		return nil, fmt.Errorf("recording: %w", err)
	}
	return resp, nil
}

// room is the room that the recording alone would make.
func (doc *recordingDoc) room(name string) (*Room, error) {
	resp, err := doc.response()
	if err != nil {
		return nil, err
	}
	r, err := FromResponse(resp, name)
	if err != nil {
		return nil, fmt.Errorf("recording: %w", err)
	}
	return r, nil
}

// writeRecording writes the response as a table of a room file: a WAV of 16 bits in base64. Its level says nothing, and the peak is near the
// top.
func writeRecording(b *strings.Builder, resp *impulse.Response) error {
	channels := 2
	if slices.Equal(resp.L, resp.R) {
		channels = 1
	}
	peak := 1e-300
	for i := range resp.L {
		peak = max(peak, math.Abs(resp.L[i]), math.Abs(resp.R[i]))
	}
	block := make([]float64, 0, channels*len(resp.L))
	for i := range resp.L {
		block = append(block, 0.9*resp.L[i]/peak)
		if channels == 2 {
			block = append(block, 0.9*resp.R[i]/peak)
		}
	}
	var file bytes.Buffer
	w, err := wav.Stream(&file, wav.Options{Rate: resp.Rate, Channels: channels, Format: wav.Int16, Frames: int64(len(resp.L))})
	if err == nil {
		if err = w.Write64(block); err == nil {
			err = w.Close()
		}
	}
	if err != nil {
		return err
	}
	const line = 120
	text := base64.StdEncoding.EncodeToString(file.Bytes())
	b.WriteString("\n[recording] # the measured response: a WAV file in base64\nwav = \"\"\"\n")
	for len(text) > line {
		b.WriteString(text[:line] + "\n")
		text = text[line:]
	}
	b.WriteString(text + "\n\"\"\"\n")
	return nil
}
