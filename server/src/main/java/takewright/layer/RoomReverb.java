package takewright.layer;

import java.util.ArrayList;
import java.util.List;
import takewright.audio.Clip;
import takewright.diagnosis.SettingException;
import takewright.dsp.Convolver;
import takewright.dsp.Decibels;

/** A sample heard in a room: convolution with the room's impulse response beside the sample. */
final class RoomReverb {
  /** Where a response begins, below its largest sample, in dB (ISO 3382-1, 5.3.3). */
  private static final double START_DB = -20;

  private RoomReverb() {}

  static Clip apply(Clip sample, RoomSettings settings) {
    Clip impulse = settings.impulse();
    float[][] response = new float[impulse.channels()][];
    for (int c = 0; c < response.length; c++) {
      response[c] = impulse.channel(c);
    }
    response = Rates.convert(response, impulse.sampleRate(), sample.sampleRate());
    int outputs = outputs(sample.channels(), response.length);
    List<Convolver.Path> paths = paths(sample.channels(), outputs, response);
    double gain = Decibels.toAmplitude(settings.wetDb()) / Math.sqrt(energy(paths, outputs));
    // The room's own way from the player to the microphone is taken out, so that its first sound
    // falls on the sample's.
    int early = start(response);
    int late = (int) Math.round(settings.preDelayMs() / 1000 * sample.sampleRate());
    return beside(
        sample, new Convolver(sample.channels(), outputs, paths), gain, early, late, settings);
  }

  private static Clip beside(
      Clip sample, Convolver convolver, double gain, int early, int late, RoomSettings settings) {
    int frames = sample.frames();
    int outputs = outputs(sample.channels(), settings.impulse().channels());
    long wet = frames == 0 ? 0 : (long) frames + convolver.responseFrames() - 1;
    long length = Math.max(frames, wet - early + late);
    if (length > Integer.MAX_VALUE - 8) {
      throw new SettingException(
          "",
          "the sample and the room together are too long",
          "shorten the sample or the impulse response");
    }
    float[][] in = new float[sample.channels()][];
    for (int c = 0; c < in.length; c++) {
      in[c] = sample.channel(c);
    }
    float[][] out = new float[outputs][(int) length];
    float[][] lead = new float[outputs][Math.max(1, Math.min(early, 4096))];
    int written = 0;
    int skipped = 0;
    int at = late;
    while (true) {
      if (written < frames) {
        written += convolver.write(in, written, frames - written);
      } else {
        convolver.end();
      }
      int n;
      if (skipped < early) {
        n = convolver.read(lead, 0, Math.min(early - skipped, lead[0].length));
        skipped += Math.max(0, n);
      } else {
        n = convolver.read(out, at, (int) Math.max(1, Math.min(length - at, 1 << 16)));
        at += Math.max(0, n);
      }
      if (n < 0) {
        break;
      }
    }
    for (int c = 0; c < outputs; c++) {
      float[] x = in[Math.min(c, in.length - 1)];
      for (int i = late; i < at; i++) {
        out[c][i] *= (float) gain;
      }
      if (settings.direct()) {
        for (int i = 0; i < frames; i++) {
          out[c][i] += x[i];
        }
      }
    }
    return Clip.of(sample.sampleRate(), out);
  }

  private static int outputs(int channels, int responses) {
    if (responses == 1 || responses == channels) {
      return channels;
    }
    if (channels == 1 && responses == 2) {
      return 2;
    }
    if (channels <= 2 && responses == 4) {
      return 2;
    }
    throw new SettingException(
        "impulse_file",
        "has " + responses + " channels, which does not suit a sample of " + channels,
        "use one of 1 channel, 2 channels or as many as the sample has; 4 channels suit a sample of"
            + " 1 or 2");
  }

  private static List<Convolver.Path> paths(int channels, int outputs, float[][] response) {
    List<Convolver.Path> paths = new ArrayList<>();
    if (response.length == 4 && outputs == 2) {
      for (int from = 0; from < 2; from++) {
        for (int to = 0; to < 2; to++) {
          // One channel stands for two that are alike.
          paths.add(new Convolver.Path(Math.min(from, channels - 1), to, response[2 * from + to]));
        }
      }
      return paths;
    }
    for (int to = 0; to < outputs; to++) {
      paths.add(
          new Convolver.Path(
              Math.min(to, channels - 1), to, response[Math.min(to, response.length - 1)]));
    }
    return paths;
  }

  /** Energy that the loudest output gets of inputs at full level. */
  private static double energy(List<Convolver.Path> paths, int outputs) {
    double[] sums = new double[outputs];
    double max = 0;
    for (Convolver.Path path : paths) {
      for (float h : path.response()) {
        sums[path.to()] += (double) h * h;
      }
      max = Math.max(max, sums[path.to()]);
    }
    return max;
  }

  /** The frame at which the first sound of a response arrives in any channel. */
  private static int start(float[][] response) {
    float peak = 0;
    for (float[] channel : response) {
      for (float x : channel) {
        peak = Math.max(peak, Math.abs(x));
      }
    }
    float level = (float) (peak * Decibels.toAmplitude(START_DB));
    int start = Integer.MAX_VALUE;
    for (float[] channel : response) {
      for (int i = 0; i < channel.length && i < start; i++) {
        if (Math.abs(channel[i]) >= level) {
          start = i;
        }
      }
    }
    return start;
  }
}
