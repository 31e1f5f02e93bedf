// Package hearing is the ear: what a listener with normal hearing makes of the sound
// that reaches the seat, as loudness in sone and phon and as the loudness of one
// sound in the presence of another.
//
// The model is that of Moore, Glasberg & Baer, "A model for the prediction of
// thresholds, loudness, and partial loudness", J. Audio Eng. Soc. 45 (1997) 224, in
// the revision that ISO 532-2:2017 lays down for loudness. Its stages:
//
//  1. outer and middle ear: a transfer in dB by frequency (ISO 532-2, Table 1);
//  2. excitation: rounded-exponential (roex) auditory filters on the ERB-number
//     scale, the lower skirt broader the louder the sound (ISO 532-2, 7.4);
//  3. specific loudness: a compressive law with a threshold (ISO 532-2, 7.5);
//     for a sound in a masker the partial specific loudness of Moore, Glasberg &
//     Baer (1997), equations 17 to 20 (ISO 532-2 has no partial loudness);
//  4. the sum over the ERB-number scale, sone; both ears together 1.5 times one ear
//     (ISO 532-2, 8.1, same sound at both).
//
// Two inputs: a list of components of exact frequency (LoudnessOf, PartialOf), for
// checks against the standard, and a spectrum in bands along the
// ERB-number scale (Model), for every frame of a piece. Band powers are mean-square
// pressures re (20 µPa)² at the listener with the listener away, so that 10·lg is dB SPL:
// nothing of the ear is in them. A component enters the bands by Model.Shares, so that a
// tone between two centres is as loud as by the exact path within a tenth (share_test.go).
//
// What is simplified: a band's power acts at the band's centre; the auditory filters
// of the Model are as far apart as its bands, and their skirts follow the level in
// steps of half a decibel; both ears hear the same; each frame is judged by itself,
// without forward masking (temporal_test.go has how fast that falls). The room's background noise is part of the masker: the caller adds it.
package hearing
