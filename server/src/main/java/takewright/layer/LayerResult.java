package takewright.layer;

import takewright.audio.Clip;

/**
 * A layer that was made.
 *
 * @param audio the layer; its frame 0 is the sample's
 * @param gainDb how far its level was lowered to keep its peak at -1 dBFS or below, in dB, 0 or
 *     less
 */
public record LayerResult(Clip audio, double gainDb) {}
