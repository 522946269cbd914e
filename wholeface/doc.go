// Package wholeface says what is believed of the face between the readings: the zone of the whole true face with its doubt, its
// shape, its thickness, the probability that it conforms, and where to read next.
//
// A probe touches some fifty points, and the ball rolls over all of them. The true face is the face after a cutoff and inside an
// edge band, as package wholeface/scan defines it; without these two a zone has no value. The model of a face is a trend (height,
// two tilts, bow along and across, twist), a residual with Matérn correlation, and a part shorter than the nodes of the lattice on
// which faces are drawn. Its parameters are not fitted to one value: every setting of a prior is weighed by the likelihood
// of the readings, and the drawn faces are shared out among the settings by that. Each drawn face agrees with the readings as far
// as their noise and the bench let it; the zones of the drawn faces are what the model believes.
//
// A model is not a machine. What fifty readings miss (ridges between tracks, chips) differs from one machine to the next, so the
// zones are corrected by what package wholeface/learn learned from the mill's own scans. Without that an answer is uncalibrated,
// says so, and is wider.
//
// The package draws with fixed seeds: the same question gives the same answer, whatever the number of cores. It uses exp and log, so
// other processors may differ in the last digits; it lies off the sealing path, and a certificate may use its probability only
// rounded, as evidence. It computes no gravity, moves no reading, drops no outlier (it names one), knows no prices and gives no
// certificate.
package wholeface
