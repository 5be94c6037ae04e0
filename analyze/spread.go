package analyze

// Spread is what earlier sets of a kind gave, and where one more would be
// expected with a probability of 95 %.
type Spread struct {
	Count     int
	Mean, SD  float64 // standard deviation with n - 1
	Low, High float64 // prediction interval of one more value
	Outside   bool    // the one it was made for lies beyond it
	Why       string  // no interval, and why
}
