package takewright.layer;

import java.util.Arrays;
import java.util.List;
import takewright.audio.Clip;
import takewright.dsp.Biquad;
import takewright.dsp.Decibels;
import takewright.dsp.FeedbackDelayNetwork;
import takewright.dsp.Oversampler;

/** Sends a sample through effects, one after the other. */
final class EffectChain {
  /** A filter's corner is held below this share of the sample rate: at half of it there is none. */
  private static final double HIGHEST_SHARE = 0.49;

  /** What echoes and rooms are followed down to, against their first sound, in dB. */
  private static final double TAIL_DB = 100;

  /** Longest that a stage makes the sound, in seconds. */
  private static final double MAX_TAIL_S = 60;

  /** What a filter rings on, in seconds: the narrowest band at 10 Hz falls by 60 dB in 7 s. */
  private static final double RINGING_S = 7;

  /**
   * How often the sample rate is doubled for bending: harmonics that would fold back lie above 15
   * times half the rate then, where a hyperbolic tangent of 24 dB drive has none above -80 dB.
   */
  private static final int DOUBLINGS = 3;

  /** Samples that are bent at a time, and samples that its filters reach to either side. */
  private static final int PIECE = 1 << 16;

  private static final int REACH = 256;

  private static final double FLAT_Q = Math.sqrt(0.5);

  private EffectChain() {}

  static Clip apply(Clip sample, List<Effect> chain, int onset) {
    float[][] sound = new float[sample.channels()][];
    for (int c = 0; c < sound.length; c++) {
      sound[c] = chain.isEmpty() ? sample.channel(c) : sample.channel(c).clone();
    }
    for (Effect effect : chain) {
      sound = stage(sound, sample.sampleRate(), effect, onset);
    }
    return Clip.of(sample.sampleRate(), sound);
  }

  /** One effect; the arrays given are used up. */
  private static float[][] stage(float[][] sound, int rate, Effect effect, int onset) {
    if (effect instanceof Effect.HighPass e) {
      return filter(sound, rate, Biquad.highPass(rate, held(e.hz(), rate), FLAT_Q), e.hz(), FLAT_Q);
    } else if (effect instanceof Effect.LowPass e) {
      return filter(sound, rate, Biquad.lowPass(rate, held(e.hz(), rate), FLAT_Q), e.hz(), FLAT_Q);
    } else if (effect instanceof Effect.BandPass e) {
      return filter(sound, rate, Biquad.bandPass(rate, held(e.hz(), rate), e.q()), e.hz(), e.q());
    } else if (effect instanceof Effect.Shelf e) {
      double hz = held(e.hz(), rate);
      Biquad shelf =
          e.high()
              ? Biquad.highShelf(rate, hz, FLAT_Q, e.gainDb())
              : Biquad.lowShelf(rate, hz, FLAT_Q, e.gainDb());
      return filter(sound, rate, shelf, e.hz(), FLAT_Q);
    } else if (effect instanceof Effect.Delay e) {
      return delay(sound, rate, e);
    } else if (effect instanceof Effect.Reverb e) {
      return reverb(sound, rate, e);
    } else if (effect instanceof Effect.Saturation e) {
      return saturate(sound, rate, e);
    } else if (effect instanceof Effect.Width e) {
      return width(sound, e);
    } else if (effect instanceof Effect.Reverse) {
      return reverse(sound, onset);
    } else if (effect instanceof Effect.Gain e) {
      return gain(sound, (float) Decibels.toAmplitude(e.db()));
    }
    throw new IllegalStateException("an effect without its stage: " + effect);
  }

  private static double held(double hz, int rate) {
    return Math.min(hz, HIGHEST_SHARE * rate);
  }

  private static float[][] lengthened(float[][] sound, double seconds, int rate) {
    long length =
        Math.min(
            Integer.MAX_VALUE - 8,
            sound[0].length + (long) Math.ceil(Math.min(MAX_TAIL_S, seconds) * rate));
    float[][] longer = new float[sound.length][];
    for (int c = 0; c < sound.length; c++) {
      longer[c] = Arrays.copyOf(sound[c], (int) length);
    }
    return longer;
  }

  private static float[][] filter(float[][] sound, int rate, Biquad biquad, double hz, double q) {
    // Poles at hz and q fall by 60 dB in 2.2 q / hz; twice that is more than enough.
    float[][] filtered = lengthened(sound, Math.min(RINGING_S, 4.4 * q / hz), rate);
    for (float[] channel : filtered) {
      biquad.fresh().process(channel, 0, channel.length);
    }
    return filtered;
  }

  private static float[][] delay(float[][] sound, int rate, Effect.Delay e) {
    int frames = (int) Math.max(1, Math.round(e.timeMs() / 1000 * rate));
    double echoes = 1;
    if (e.feedback() > 0) {
      echoes += Math.ceil(TAIL_DB / -Decibels.fromAmplitude(e.feedback()));
    }
    float[][] out = lengthened(sound, echoes * frames / rate + 0.5, rate);
    float wet = (float) Decibels.toAmplitude(e.wetDb());
    float feedback = (float) e.feedback();
    for (float[] channel : out) {
      Biquad lowPass =
          e.lowPassHz() == null ? null : Biquad.lowPass(rate, held(e.lowPassHz(), rate), FLAT_Q);
      float[] line = new float[frames];
      int at = 0;
      for (int i = 0; i < channel.length; i++) {
        float echo = line[at];
        if (lowPass != null) {
          echo = (float) lowPass.process(echo);
        }
        // Nothing below -400 dB goes round: numbers beyond are slow.
        echo = Math.abs(echo) < 1e-20f ? 0 : echo;
        line[at] = channel[i] + feedback * echo;
        channel[i] += wet * echo;
        at = at + 1 == frames ? 0 : at + 1;
      }
    }
    return out;
  }

  private static float[][] reverb(float[][] sound, int rate, Effect.Reverb e) {
    float[][] out = lengthened(sound, e.decayS() * TAIL_DB / 60 + 0.2, rate);
    if (out.length == 1) {
      out = new float[][] {out[0], out[0].clone()};
    }
    float wet = (float) Decibels.toAmplitude(e.wetDb());
    double highShare = 1 - 0.9 * e.damping();
    // Channels beyond two are taken in pairs; the last one may be its own partner.
    for (int c = 0; c < out.length; c += 2) {
      float[] left = out[c].clone();
      float[] right = out[Math.min(c + 1, out.length - 1)].clone();
      new FeedbackDelayNetwork(rate, e.decayS(), highShare).process(left, right, left.length);
      add(out[c], left, wet);
      if (c + 1 < out.length) {
        add(out[c + 1], right, wet);
      }
    }
    return out;
  }

  private static void add(float[] to, float[] from, float gain) {
    for (int i = 0; i < to.length; i++) {
      to[i] += gain * from[i];
    }
  }

  private static float[][] saturate(float[][] sound, int rate, Effect.Saturation e) {
    float drive = (float) Decibels.toAmplitude(e.driveDb());
    Oversampler oversampler = new Oversampler(DOUBLINGS);
    float[][] out = new float[sound.length][];
    for (int c = 0; c < sound.length; c++) {
      out[c] = new float[sound[c].length];
      // Piece by piece, with what the filters reach on either side: the raised rate takes eight
      // times the memory.
      for (int at = 0; at < sound[c].length; at += PIECE) {
        int from = Math.max(0, at - REACH);
        int to = Math.min(sound[c].length, at + PIECE + REACH);
        float[] raised = oversampler.up(Arrays.copyOfRange(sound[c], from, to));
        for (int i = 0; i < raised.length; i++) {
          raised[i] = (float) Math.tanh(drive * raised[i]) / drive;
        }
        float[] bent = oversampler.down(raised);
        int n = Math.min(PIECE, sound[c].length - at);
        System.arraycopy(bent, at - from, out[c], at, n);
      }
    }
    return out;
  }

  private static float[][] width(float[][] sound, Effect.Width e) {
    if (sound.length == 2) {
      float ratio = (float) e.ratio();
      for (int i = 0; i < sound[0].length; i++) {
        float middle = 0.5f * (sound[0][i] + sound[1][i]);
        float side = 0.5f * ratio * (sound[0][i] - sound[1][i]);
        sound[0][i] = middle + side;
        sound[1][i] = middle - side;
      }
    }
    return sound;
  }

  private static float[][] reverse(float[][] sound, int onset) {
    for (float[] channel : sound) {
      Arrays.fill(channel, 0, Math.min(onset, channel.length), 0);
      for (int i = onset, j = channel.length - 1; i < j; i++, j--) {
        float x = channel[i];
        channel[i] = channel[j];
        channel[j] = x;
      }
    }
    return sound;
  }

  private static float[][] gain(float[][] sound, float gain) {
    for (float[] channel : sound) {
      for (int i = 0; i < channel.length; i++) {
        channel[i] *= gain;
      }
    }
    return sound;
  }
}
