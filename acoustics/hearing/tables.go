package hearing

// The tables of ISO 532-2:2017, taken from published software that implements the
// standard and compared with the tables of ANSI S3.4-2007 where both exist. Between
// rows values are interpolated linearly in dB over linear frequency (7.2.6); outside
// them the end values hold.

// transferTable is ISO 532-2:2017, Table 1: from the sound field (listener away) to the
// eardrum, for frontal free field and for diffuse field, and from the eardrum to the
// oval window (middle ear), all dB.
var transferTable = []struct{ hz, free, diffuse, middle float64 }{
	{20, 0, 0, -39.6}, {25, 0, 0, -32}, {31.5, 0, 0, -25.85}, {40, 0, 0, -21.4},
	{50, 0, 0, -18.5}, {63, 0, 0, -15.9}, {80, 0, 0, -14.1}, {100, 0, 0, -12.4},
	{125, 0.1, 0.1, -11}, {160, 0.3, 0.3, -9.6}, {200, 0.5, 0.4, -8.3}, {250, 0.9, 0.5, -7.4},
	{315, 1.4, 1, -6.2}, {400, 1.6, 1.6, -4.8}, {500, 1.7, 1.7, -3.8}, {630, 2.5, 2.2, -3.3},
	{750, 2.7, 2.7, -2.9}, {800, 2.6, 2.9, -2.6}, {1000, 2.6, 3.8, -2.6}, {1250, 3.2, 5.3, -4.5},
	{1500, 5.2, 6.8, -5.4}, {1600, 6.6, 7.2, -6.1}, {2000, 12, 10.2, -8.5}, {2500, 16.8, 14.9, -10.4},
	{3000, 15.3, 14.5, -7.3}, {3150, 15.2, 14.4, -7}, {4000, 14.2, 12.7, -6.6}, {5000, 10.7, 10.8, -7},
	{6000, 7.1, 8.9, -9.2}, {6300, 6.4, 8.7, -10.2}, {8000, 1.8, 8.5, -12.2}, {9000, -0.9, 6.2, -10.8},
	{10000, -1.6, 5, -10.1}, {11200, 1.9, 4.5, -12.7}, {12500, 4.9, 4, -15}, {14000, 2, 3.3, -18.2},
	{15000, -2, 2.6, -23.8}, {16000, 2.5, 2, -32.3}, {20000, 2.5, 2, -45.5},
}

// thresholdTable is ISO 532-2:2017, Table 2: excitation level at the reference
// threshold of hearing, dB re E0, and the low-level gain of the cochlear amplifier
// 10·lg G, dB, re that at 500 Hz and above.
var thresholdTable = []struct{ hz, excitationDB, gainDB float64 }{
	{50, 27.46, -24.31}, {63, 23.45, -20.30}, {80, 18.47, -15.32}, {100, 15.13, -11.98},
	{125, 11.97, -8.82}, {160, 9.34, -6.19}, {200, 7.43, -4.28}, {250, 5.75, -2.60},
	{315, 4.73, -1.58}, {400, 3.92, -0.77}, {500, 3.15, 0},
}

// exponentTable is ISO 532-2:2017, Table 3: the exponent α against 10·lg G from
// -25 dB in steps of 5 dB.
var exponentTable = []float64{0.26692, 0.25016, 0.23679, 0.22228, 0.21055, 0.20000}

// linearTable is ISO 532-2:2017, Table 4: the constant A against 10·lg G from -25 dB in
// steps of 0.5 dB.
var linearTable = []float64{
	7.784, 7.667, 7.551, 7.435, 7.318, 7.210, 7.103, 6.996, 6.889, 6.782,
	6.675, 6.596, 6.517, 6.438, 6.360, 6.281, 6.202, 6.124, 6.047, 5.975,
	5.902, 5.823, 5.744, 5.665, 5.587, 5.510, 5.437, 5.364, 5.291, 5.218,
	5.145, 5.086, 5.027, 4.972, 4.918, 4.863, 4.808, 4.754, 4.699, 4.644,
	4.590, 4.542, 4.496, 4.451, 4.405, 4.359, 4.314, 4.268, 4.222, 4.177,
	4.131,
}

// detectionTable is K of Moore, Glasberg & Baer (1997), Figure 9: the ratio of signal
// to masker, dB, at the output of the auditory filter at masked threshold. The
// paper gives a curve; the values are a published polynomial fit to it, rounded to
// 0.1 dB, and good to about half a decibel.
var detectionTable = []struct{ hz, db float64 }{
	{50, 13.5}, {63, 10.0}, {80, 7.1}, {100, 4.9}, {125, 3.1}, {160, 1.5}, {200, 0.4},
	{250, -0.5}, {315, -1.3}, {400, -1.9}, {500, -2.3}, {630, -2.7}, {800, -2.9}, {1000, -3},
}
