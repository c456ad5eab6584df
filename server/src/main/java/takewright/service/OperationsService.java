package takewright.service;

import io.grpc.stub.StreamObserver;
import takewright.service.call.AnalyseAdapter;
import takewright.service.call.DenoiseAdapter;
import takewright.service.call.LayerAdapter;
import takewright.service.call.RetuneAdapter;
import takewright.service.call.SegmentAdapter;
import takewright.service.call.Site;
import takewright.service.call.StreamedCall;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.LayerRequest;
import takewright.v1.LayerResponse;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;

/** The operations on one piece of audio. */
final class OperationsService extends OperationsServiceGrpc.OperationsServiceImplBase {
  private final Site site;

  OperationsService(Site site) {
    this.site = site;
  }

  @Override
  public StreamObserver<SegmentRequest> segment(StreamObserver<SegmentResponse> answers) {
    return StreamedCall.open(new SegmentAdapter(), site, answers);
  }

  @Override
  public StreamObserver<AnalyseRequest> analyse(StreamObserver<AnalyseResponse> answers) {
    return StreamedCall.open(new AnalyseAdapter(), site, answers);
  }

  @Override
  public StreamObserver<DenoiseRequest> denoise(StreamObserver<DenoiseResponse> answers) {
    return StreamedCall.open(new DenoiseAdapter(), site, answers);
  }

  @Override
  public StreamObserver<RetuneRequest> retune(StreamObserver<RetuneResponse> answers) {
    return StreamedCall.open(new RetuneAdapter(), site, answers);
  }

  @Override
  public StreamObserver<LayerRequest> layer(StreamObserver<LayerResponse> answers) {
    return StreamedCall.open(new LayerAdapter(), site, answers);
  }
}
