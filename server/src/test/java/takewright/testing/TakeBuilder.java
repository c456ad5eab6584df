package takewright.testing;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import takewright.audio.Clip;

/**
 * Lays sounds into one long take with a room around them, and remembers where each lies: the truth
 * that a segmentation is compared with.
 */
public final class TakeBuilder {
  private final int rate;
  private final SplittableRandom random;
  private float[] audio = new float[1 << 16];
  private int at;
  private int end;
  private final List<Event> events = new ArrayList<>();

  /**
   * One sound of a take.
   *
   * @param what "note", "talk", "knock" or any other word
   * @param onset first frame within 40 dB of the sound's peak
   * @param audible last frame above the room or within 60 dB of the peak
   */
  public record Event(String what, int midi, int start, int onset, int audible, int end) {}

  public TakeBuilder(int rate, long seed) {
    this.rate = rate;
    random = new SplittableRandom(seed);
  }

  /** Nobody plays, for a while. */
  public TakeBuilder pause(double seconds) {
    append(new float[(int) (seconds * rate)]);
    return this;
  }

  /** What comes next begins before the last sound has ended. */
  public TakeBuilder back(double seconds) {
    at -= (int) (seconds * rate);
    return this;
  }

  /** A pause of 1.2 to 2.2 s. */
  public TakeBuilder pause() {
    return pause(1.2 + random.nextDouble());
  }

  /**
   * A sound.
   *
   * @param peakDbfs its largest sample
   * @param roomDbfs RMS of the room it will be heard in
   */
  public TakeBuilder sound(String what, int midi, float[] sound, double peakDbfs, double roomDbfs) {
    float max = 0;
    for (float x : sound) {
      max = Math.max(max, Math.abs(x));
    }
    float gain = (float) (Math.pow(10, peakDbfs / 20) / max);
    float[] scaled = new float[sound.length];
    for (int i = 0; i < sound.length; i++) {
      scaled[i] = sound[i] * gain;
    }
    double peak = Math.pow(10, peakDbfs / 20);
    double lowest = Math.max(peak / 1000, Math.pow(10, roomDbfs / 20));
    int onset = 0;
    while (Math.abs(scaled[onset]) < peak / 100) {
      onset++;
    }
    int audible = scaled.length - 1;
    while (Math.abs(scaled[audible]) < lowest) {
      audible--;
    }
    events.add(new Event(what, midi, at, at + onset, at + audible, at + scaled.length));
    append(scaled);
    return this;
  }

  /** A recording, faded over 2 ms at its start and 20 ms at its end so that it does not click. */
  public static float[] faded(Clip clip) {
    float[] x = clip.mono().clone();
    int in = clip.sampleRate() / 500;
    int out = clip.sampleRate() / 50;
    for (int i = 0; i < in; i++) {
      x[i] *= (float) i / in;
    }
    for (int i = 0; i < out; i++) {
      x[x.length - 1 - i] *= (float) i / out;
    }
    return x;
  }

  /** A chair or a foot: an eighth of a second of low noise. */
  public float[] knock() {
    float[] x = new float[rate / 8];
    double low = 0;
    double lower = 0;
    for (int i = 0; i < x.length; i++) {
      low += 0.04 * (random.nextDouble() - 0.5 - low);
      lower += 0.01 * (low - lower);
      x[i] = (float) ((low - lower) * Math.exp(-i / (0.02 * rate)));
    }
    return x;
  }

  /**
   * A voice, roughly: syllables of a buzz whose pitch falls and jumps, with hisses between, for
   * about 1.6 s.
   */
  public float[] talk() {
    float[] x = new float[(int) (1.6 * rate)];
    double phase = 0;
    int syllable = rate / 5;
    double from = 100;
    double to = 100;
    for (int i = 0; i < x.length; i++) {
      int within = i % syllable;
      if (within == 0) {
        from = 90 + 90 * random.nextDouble();
        to = from * (0.7 + 0.5 * random.nextDouble());
      }
      double part = (double) within / syllable;
      phase += (from + (to - from) * part) / rate;
      double loud = Math.sin(Math.PI * part);
      double buzz = 0;
      for (int k = 1; k < 12; k++) {
        buzz += Math.sin(2 * Math.PI * k * phase) / k;
      }
      double hiss = part > 0.75 ? random.nextDouble() - 0.5 : 0;
      x[i] = (float) (loud * buzz * 0.3 + hiss * 0.3);
    }
    return x;
  }

  /**
   * The take: everything laid down so far, in a room of noise (falling with frequency, with some
   * hiss) and mains hum.
   *
   * @param roomDbfs RMS of the room
   */
  public Clip build(double roomDbfs) {
    double[] room = new double[end];
    double low = 0;
    double sum = 0;
    for (int i = 0; i < end; i++) {
      double white = random.nextDouble() + random.nextDouble() + random.nextDouble() - 1.5;
      low += 0.02 * (white - low);
      room[i] = 6 * low + 0.35 * white + 0.2 * Math.sin(2 * Math.PI * 50 * i / rate);
      sum += room[i] * room[i];
    }
    double gain = Math.pow(10, roomDbfs / 20) / Math.sqrt(sum / end);
    float[] take = Arrays.copyOf(audio, end);
    for (int i = 0; i < end; i++) {
      take[i] += (float) (room[i] * gain);
    }
    return Clip.of(rate, take);
  }

  /** Frames laid down so far. */
  public int length() {
    return at;
  }

  /** What lies in the take. */
  public List<Event> events() {
    return List.copyOf(events);
  }

  private void append(float[] x) {
    if (at + x.length > audio.length) {
      audio = Arrays.copyOf(audio, Math.max(2 * audio.length, at + x.length));
    }
    for (int i = 0; i < x.length; i++) {
      audio[at + i] += x[i];
    }
    at += x.length;
    end = Math.max(end, at);
  }
}
