package unit

import "math"

// fullScaleMeanSquare is the mean square of a sine whose peaks touch full
// scale: its RMS is 0 dBFS (AES17).
const fullScaleMeanSquare = 0.5

// DB is a power ratio in decibels, 10 log10(ratio). Zero gives -Inf.
func DB(powerRatio float64) float64 { return 10 * math.Log10(powerRatio) }

// FromDB is the power ratio of so many decibels, 10^(dB/10).
func FromDB(dB float64) float64 { return math.Pow(10, dB/10) }

// VoltageDB is a voltage ratio in decibels, 20 log10(ratio). Zero gives -Inf.
func VoltageDB(voltageRatio float64) float64 { return 20 * math.Log10(voltageRatio) }

// VoltageFromDB is the voltage ratio of so many decibels, 10^(dB/20).
func VoltageFromDB(dB float64) float64 { return math.Pow(10, dB/20) }

// DBFS is the level of a mean square of samples (full scale +-1), where 0 dBFS
// is the RMS of a sine whose peaks touch full scale (AES17):
// 10 log10(meanSquare / 0.5). A silent recording gives -Inf.
func DBFS(meanSquare float64) float64 { return DB(meanSquare / fullScaleMeanSquare) }

// MeanSquare is the mean square of samples at a level in dBFS; it undoes DBFS.
func MeanSquare(dBFS float64) float64 { return fullScaleMeanSquare * FromDB(dBFS) }

// Volts is the RMS voltage of a level in dBFS, where fullScaleVolts is the RMS
// voltage of a sine whose peaks touch full scale.
func Volts(dBFS, fullScaleVolts float64) float64 { return fullScaleVolts * VoltageFromDB(dBFS) }

// Watts is the power of an RMS voltage across a load, volts^2 / ohms.
func Watts(volts, ohms float64) float64 { return volts * volts / ohms }
