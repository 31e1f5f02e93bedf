// Package air is what still air does to sound: its speed, its impedance and how much of a wave it takes away.
package air

import (
	"math"

	"afterchord/acoustics/octave"
)

// Standard atmosphere at sea level, Pa (ISO 9613-1:1993, 4.1), and its reference
// temperature, K.
const (
	StandardPressure = 101325.0
	referenceKelvin  = 293.15
)

// Absorption is the attenuation of a pure tone of hz by still air, dB/m, at
// tempC (°C), relative humidity (%) and pressure (Pa).
//
// Source: ISO 9613-1:1993, equations (3) to (5) with the saturation pressure of Annex B. The
// standard gives ±10 % for 0.05-5 % water vapour by volume, -20..50 °C, below 200 kPa.
func Absorption(hz, tempC, humidity, pressure float64) float64 {
	t := tempC + 273.15
	pa := pressure / StandardPressure
	saturation := math.Pow(10, -6.8346*math.Pow(273.16/t, 1.261)+4.6151)
	h := humidity * saturation / pa // molar concentration of water vapour, %
	tr := t / referenceKelvin
	oxygen := pa * (24 + 4.04e4*h*(0.02+h)/(0.391+h))
	nitrogen := pa / math.Sqrt(tr) * (9 + 280*h*math.Exp(-4.170*(math.Pow(tr, -1.0/3)-1)))
	f2 := hz * hz
	return 8.686 * f2 * (1.84e-11/pa*math.Sqrt(tr) +
		math.Pow(tr, -2.5)*(0.01275*math.Exp(-2239.1/t)/(oxygen+f2/oxygen)+
			0.1068*math.Exp(-3352/t)/(nitrogen+f2/nitrogen)))
}

// Attenuation is the energy attenuation of air at each octave band's exact centre
// frequency, 1/m (the m of 4mV), at standard pressure.
func Attenuation(tempC, humidity float64) octave.Bands {
	var m octave.Bands
	for i := range m {
		m[i] = Absorption(octave.Exact(i), tempC, humidity, StandardPressure) * math.Ln10 / 10
	}
	return m
}

// SpeedOfSound in dry air, m/s, at tempC (ISO 9613-1:1993, A.3: 343.2·sqrt(T/293.15)).
func SpeedOfSound(tempC float64) float64 {
	return 343.2 * math.Sqrt((tempC+273.15)/referenceKelvin)
}

// Impedance is ρc of air at standard pressure, Pa·s/m.
func Impedance(tempC float64) float64 {
	const gasConstant = 287.05 // dry air, J/(kg·K)
	return StandardPressure / (gasConstant * (tempC + 273.15)) * SpeedOfSound(tempC)
}
