package takewright.denoise.room;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.audio.Clip;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;
import takewright.denoise.hum.Hum;
import takewright.denoise.hum.HumFinder;
import takewright.denoise.hum.HumRemover;
import takewright.denoise.hum.ToneFinder;
import takewright.denoise.room.RoomLearner.KeptAudio;
import takewright.denoise.stage.RumbleFilter;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Selection;
import takewright.dsp.Windows;

/** Measures room tone as the noise reduction will see it: its colour, its hum, its unrest. */
final class RoomMeasurement {
  /** Frames looked at, at most: the error of a bin's mean is then about 0.3 dB. */
  private static final int MAX_FRAMES = 288;

  /** Half frames that hum is looked for in, at most. */
  private static final int HUM_FRAMES = 128;

  /** Mean of the room tone's power up to this many times its median: beyond is not the room. */
  private static final double OUTLIER = 5;

  /** Median over mean, and mean of what is cut off at OUTLIER medians, for exponential powers. */
  private static final double MEDIAN_SHARE = Math.log(2);

  private static final double CUT_SHARE = 1 - Math.exp(-OUTLIER * MEDIAN_SHARE);

  /**
   * The same for the lowest and the highest bin, which are real: their power has one degree of
   * freedom, the median 0.4549 of the mean, and of a mean cut off there 0.7817 is left (with x = 5
   * * 0.4549, the chance that chi squared of 3 degrees stays below x, and x times the chance that
   * chi squared of 1 does not).
   */
  private static final double CUT_SHARE_REAL = 0.7817;

  /** Power that is left of a line of hum: 20 dB are taken away at least, where it is strong. */
  private static final float HUM_LEFT = 0.01f;

  /** Rumble lies below this, notes above the second, and what is compared below the third; Hz. */
  private static final double RUMBLE_HZ = 13;

  private static final double LOWEST_HZ = 28;
  private static final double LOW_HZ = 120;

  /** Pink noise, as of most rooms, has 9 dB more there, brown noise 18 dB. */
  private static final double RUMBLE_DB = 20;

  /** Softer rumble than this in one bin does no harm. */
  private static final double RUMBLE_DBFS = -95;

  /** Power that counts as left of rumble at least, to keep numbers finite. */
  private static final double RUMBLE_LEFT = 1e-4;

  private final int sampleRate;
  private final int channels;
  private final ThirdOctaves bands;
  private final RoomTrack track;
  private final int size;
  private final int hop;
  private final int bins;
  private final Fft fft;
  private final float[] packed;
  private final float[] single;

  /** Power of each frame, and of which stretch it is; those of one stretch follow each other. */
  private final List<float[]> frames = new ArrayList<>();

  private final List<Integer> stretchOf = new ArrayList<>();
  private final List<Long> middles = new ArrayList<>();

  RoomMeasurement(int sampleRate, int channels, ThirdOctaves bands, RoomTrack track) {
    this.sampleRate = sampleRate;
    this.channels = channels;
    this.bands = bands;
    this.track = track;
    size = StftSize.size(sampleRate);
    hop = StftSize.hop(size);
    fft = Fft.of(size);
    bins = fft.bins();
    packed = new float[size];
    single = new float[bins];
  }

  /** The profile that stretches of room tone make; null if none is long enough. */
  NoiseProfile of(List<KeptAudio> stretches) {
    analyse(stretches);
    if (frames.isEmpty()) {
      return null;
    }
    toMeanLevel();
    float[] power = means();
    float[] offset = new float[bands.count()];
    SpreadFactors factors = measureSpread(power, offset);
    double levelDbfs = Decibels.fromPower(meanSquare(power));
    long[] positions = humPositions(stretches);
    Hum found = new HumFinder(sampleRate, size, positions, humFrames).find();
    // Louder than all of the room together: a note that rings on at a multiple.
    Hum hum = found != null && found.levelDbfs() > levelDbfs + 1 ? null : found;
    if (hum != null) {
      takeOut(hum, power);
    }
    double[] tonesHz =
        Arrays.stream(new ToneFinder(sampleRate, size, positions, humFrames).find())
            .filter(hz -> hum == null || !hum.holds(hz))
            .toArray();
    boolean rumble = rumbles(power);
    if (rumble) {
      for (int k = 0; k < bins; k++) {
        double left = RumbleFilter.response((double) k * sampleRate / size);
        power[k] *= (float) Math.max(left * left, RUMBLE_LEFT);
      }
    }
    return new NoiseProfile(
        sampleRate, true, power, levelDbfs, hum, tonesHz, rumble, track, offset, factors);
  }

  /** Takes the power spectra of frames as far apart as those of the noise reduction. */
  private void analyse(List<KeptAudio> stretches) {
    float[] window = StftSize.window(size);
    double whole = Windows.power(window);
    long total = 0;
    for (KeptAudio stretch : stretches) {
      total += 1 + Math.max(0, stretch.audio().frames() - window.length) / hop;
    }
    int every = (int) (1 + (total - 1) / MAX_FRAMES);
    for (int s = 0; s < stretches.size(); s += every) {
      Clip clip = stretches.get(s).audio();
      int length = Math.min(window.length, clip.frames());
      if (length < Math.max(2, sampleRate / 50)) {
        continue;
      }
      float[] taper = length == window.length ? window : Windows.hann(length);
      float scale = (float) (whole / Windows.power(taper) / channels);
      for (int from = 0; from + length <= clip.frames(); from += hop) {
        float[] power = new float[bins];
        for (int c = 0; c < channels; c++) {
          transform(clip.channel(c), from, taper);
          fft.power(packed, single);
          for (int k = 0; k < bins; k++) {
            power[k] += single[k] * scale;
          }
        }
        frames.add(power);
        stretchOf.add(s);
        middles.add(stretches.get(s).start() + from + length / 2);
        if (frames.size() >= 2 * MAX_FRAMES) {
          return;
        }
      }
    }
  }

  private void transform(float[] x, int from, float[] taper) {
    for (int i = 0; i < taper.length; i++) {
      float value = x[from + i];
      packed[i] = Math.abs(value) <= Float.MAX_VALUE ? value * taper[i] : 0;
    }
    Arrays.fill(packed, taper.length, size, 0);
    fft.forward(packed);
  }

  /** What the track says of the level at each frame is taken out of it. */
  private void toMeanLevel() {
    float[] levels = new float[bands.count()];
    float[] deviations = new float[bands.count()];
    float[] factors = new float[bins];
    for (int f = 0; f < frames.size(); f++) {
      track.at(middles.get(f), levels, deviations);
      toFactors(levels, factors);
      multiply(frames.get(f), factors);
    }
  }

  /** The factor of each bin that takes the levels out of it; in dB of each band, and changed. */
  private void toFactors(float[] levels, float[] factors) {
    for (int b = 0; b < levels.length; b++) {
      levels[b] = (float) Decibels.toPower(-levels[b]);
    }
    bands.spread(levels, factors);
  }

  private static void multiply(float[] power, float[] factors) {
    for (int k = 0; k < power.length; k++) {
      power[k] *= factors[k];
    }
  }

  /** The mean power of each bin, which what is not the room hardly moves. */
  private float[] means() {
    float[] power = new float[bins];
    int n = frames.size();
    float[] values = new float[n];
    for (int k = 0; k < bins; k++) {
      for (int f = 0; f < n; f++) {
        values[f] = frames.get(f)[k];
      }
      double cut = OUTLIER * Selection.median(values, n);
      double total = 0;
      for (int f = 0; f < n; f++) {
        total += Math.min(values[f], cut);
      }
      boolean real = k == 0 || k == bins - 1;
      power[k] = (float) (total / n / (real ? CUT_SHARE_REAL : CUT_SHARE));
    }
    return power;
  }

  /** How restless the room is once its level is followed; also what that level is heard as. */
  private SpreadFactors measureSpread(float[] power, float[] offset) {
    for (float[] frame : frames) {
      divide(frame, power);
    }
    learnOffset(offset);
    List<float[]> followed = new ArrayList<>();
    List<Integer> ofStretch = new ArrayList<>();
    follow(offset, followed, ofStretch);
    return new SpreadMeasurement(bands, bins).measure(followed, ofStretch);
  }

  private static void divide(float[] frame, float[] power) {
    for (int k = 0; k < frame.length; k++) {
      frame[k] /= Math.max(power[k], 1e-20f);
    }
  }

  /** What the follower hears the mean level as, in dB of each band. */
  private void learnOffset(float[] offset) {
    LevelFollower follower = new LevelFollower(bands, bins, new float[bands.count()]);
    float[] deviations = new float[bands.count()];
    float[] corrections = new float[bands.count()];
    double[] sums = new double[bands.count()];
    int heard = 0;
    for (int f = 0; f < frames.size(); f++) {
      hear(follower, f);
      follower.corrections(deviations, false, corrections);
      if (isInside(f, LevelFollower.FRAMES - 1, 0)) {
        for (int b = 0; b < sums.length; b++) {
          sums[b] += follower.heard()[b];
        }
        heard++;
      }
    }
    for (int b = 0; b < sums.length; b++) {
      offset[b] = heard == 0 ? 0 : (float) (sums[b] / heard);
    }
  }

  /** Takes the level that is followed out of the frames, as far as they have others before them. */
  private void follow(float[] offset, List<float[]> followed, List<Integer> ofStretch) {
    LevelFollower follower = new LevelFollower(bands, bins, offset);
    float[] levels = new float[bands.count()];
    float[] deviations = new float[bands.count()];
    float[] corrections = new float[bands.count()];
    float[] factors = new float[bins];
    for (int f = 0; f < frames.size(); f++) {
      hear(follower, f);
      if (!isInside(f, LevelFollower.FRAMES - 1, 0)) {
        continue;
      }
      int centre = f - LevelFollower.LATENCY;
      track.at(middles.get(centre), levels, deviations);
      follower.corrections(deviations, false, corrections);
      toFactors(corrections, factors);
      float[] level = frames.get(centre).clone();
      multiply(level, factors);
      followed.add(level);
      ofStretch.add(stretchOf.get(centre));
    }
  }

  private void hear(LevelFollower follower, int frame) {
    if (frame == 0 || !stretchOf.get(frame).equals(stretchOf.get(frame - 1))) {
      follower.reset();
    }
    follower.add(frames.get(frame));
  }

  /** Whether this many frames before and after one are of the same stretch. */
  private boolean isInside(int frame, int before, int after) {
    return frame >= before
        && frame + after < stretchOf.size()
        && stretchOf.get(frame - before).equals(stretchOf.get(frame + after));
  }

  private float[][][] humFrames;

  /** Takes the lowest bins of frames half a frame apart; answers where those lie. */
  private long[] humPositions(List<KeptAudio> stretches) {
    int half = size / 2;
    int low = 2 * HumFinder.bins(sampleRate, size);
    float[] window = Windows.hann(size);
    List<Long> positions = new ArrayList<>();
    List<float[][]> spectra = new ArrayList<>();
    int total = 0;
    for (KeptAudio stretch : stretches) {
      total += Math.max(0, stretch.audio().frames() / half - 1);
    }
    int every = Math.max(1, total / HUM_FRAMES);
    long position = 0;
    for (int s = 0; s < stretches.size(); s += every) {
      Clip clip = stretches.get(s).audio();
      for (int from = 0; from + size <= clip.frames(); from += half) {
        float[][] spectrum = new float[channels][];
        for (int c = 0; c < channels; c++) {
          transform(clip.channel(c), from, window);
          spectrum[c] = Arrays.copyOf(packed, low);
        }
        positions.add(position++);
        spectra.add(spectrum);
      }
      position++;
    }
    humFrames = spectra.toArray(float[][][]::new);
    return positions.stream().mapToLong(Long::longValue).toArray();
  }

  /** The lines of the hum fall to what {@link HumRemover} may leave of them over the noise. */
  private void takeOut(Hum hum, float[] power) {
    for (int i = 0; i < hum.harmonics().length; i++) {
      double bin = hum.hz(i) * size / sampleRate;
      int middle = (int) Math.round(bin);
      int low = Math.max(1, middle - 3);
      int high = Math.min(middle + 3, power.length - 1);
      float beside = (power[low] + power[high]) / 2;
      float left = (float) Math.max(HUM_LEFT, 1 - hum.steadiness()[i]);
      for (int k = low + 1; k < high; k++) {
        power[k] = Math.min(power[k], beside + left * Math.max(0, power[k] - beside));
      }
    }
  }

  /** Whether there is much more below the lowest notes than above, even for a room. */
  private boolean rumbles(float[] power) {
    double below = mean(power, 0, RUMBLE_HZ);
    double above = mean(power, LOWEST_HZ, LOW_HZ);
    double windowPower = Windows.power(Windows.hann(size));
    return below > above * Decibels.toPower(RUMBLE_DB)
        && Decibels.fromPower(below / (size * windowPower)) > RUMBLE_DBFS;
  }

  private double mean(float[] power, double fromHz, double toHz) {
    int from = (int) Math.ceil(fromHz * size / sampleRate);
    int to = Math.max(from, (int) (toHz * size / sampleRate));
    double sum = 0;
    for (int k = from; k <= to; k++) {
      sum += power[k];
    }
    return sum / (to - from + 1);
  }

  /** The mean square of the samples behind a spectrum under the window. */
  private double meanSquare(float[] spectrum) {
    double total = 0;
    for (int k = 1; k < spectrum.length - 1; k++) {
      total += 2 * spectrum[k];
    }
    total += spectrum[0] + spectrum[spectrum.length - 1];
    return total / (size * Windows.power(StftSize.window(size)));
  }
}
