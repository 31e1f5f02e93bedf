package hearing

// NoticeableLevelDB is the difference in level of a broadband or complex sound that is just noticed,
// dB: about 1 dB (order of magnitude from textbooks of hearing, from memory; ISO 3382-1,
// Annex A, gives 1 dB for the strength G).
const NoticeableLevelDB = 1.0

// Just noticeable differences of room measures (ISO 3382-1:2009, Annex A, from memory).
const (
	NoticeableEDTShare = 0.05 // of EDT
	NoticeableC80DB    = 1.0  // dB
	NoticeableD50      = 0.05
	NoticeableTsS      = 0.010 // s
	NoticeableGDB      = 1.0   // dB
)

// JustNoticeableDisplacement is how far, s, one tone of an even sequence must be out of
// place to be noticed, where onsets lie ioiS seconds apart: 6 ms below 240 ms,
// 2.5 % above (Friberg & Sundberg, J. Acoust. Soc. Am. 98 (1995) 2524).
func JustNoticeableDisplacement(ioiS float64) float64 {
	return max(0.006, 0.025*ioiS)
}
