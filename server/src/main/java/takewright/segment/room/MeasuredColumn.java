package takewright.segment.room;

import takewright.dsp.Peak;
import takewright.dsp.SumOfSquares;

/** What is measured of one column, from the samples of its window alone. */
final class MeasuredColumn {
  private final float[] bands;
  private final float[] spectrum;
  private double prominence;
  private float peak;
  private float power;
  private int zeros;

  MeasuredColumn(BandSpectrum spectra) {
    bands = new float[spectra.count()];
    spectrum = new float[spectra.spectrumBins()];
  }

  /** Measures the samples of its window. */
  void measure(float[] window, BandSpectrum spectra) {
    spectra.measure(window, bands);
    System.arraycopy(spectra.spectrum(), 0, spectrum, 0, spectrum.length);
    prominence = spectra.prominence();
    int hop = window.length / 2;
    int first = hop - hop / 2;
    peak = Peak.of(window, first, first + hop);
    power = (float) (SumOfSquares.of(window, first, first + hop) / hop);
    zeros = 0;
    for (int i = hop; i < window.length; i++) {
      zeros += window[i] == 0 ? 1 : 0;
    }
  }

  /** Mean power of each band's bins, as {@link BandSpectrum} measures it. */
  float[] bands() {
    return bands;
  }

  /** Power of each bin, as {@link BandSpectrum#spectrum} has it. */
  float[] spectrum() {
    return spectrum;
  }

  /** How far its strongest partials stand out, in dB. */
  double prominence() {
    return prominence;
  }

  /** Largest absolute sample of the hop around its frame. */
  float peak() {
    return peak;
  }

  /** Mean square of that hop. */
  float power() {
    return power;
  }

  /** Samples of the window's second half that are exactly 0. */
  int zeros() {
    return zeros;
  }
}
