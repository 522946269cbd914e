// The relief on a page: the surface in three dimensions, turned by pointer or keys, exaggerated by a slider.

import { BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, HemisphereLight, Mesh, MeshLambertMaterial, PerspectiveCamera, Scene, WebGLRenderer, Group } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { find, make, numbers } from "../base/page";
import { say } from "../base/words";
import type { Chart } from "../map/chart";
import { ink } from "../map/tints";
import { atFirst, shapeOf, steps } from "./shape";

export class ReliefView {
  private readonly renderer = new WebGLRenderer({ antialias: true });
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(32, 1.6, 0.05, 60);
  private readonly stone = new Group();
  private readonly controls: OrbitControls;
  private waits = false;

  constructor(
    private readonly figure: HTMLElement,
    private readonly chart: Chart,
  ) {
    this.scene.background = new Color(ink.sheet);
    this.scene.add(this.stone, new HemisphereLight(0xffffff, 0xb9b4a8, 1.6), this.light());
    for (const g of chart.grids) this.stone.add(this.mesh(shapeOf(chart, g)));
    const canvas = this.renderer.domElement;
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "application");
    canvas.setAttribute("aria-label", say("script.relief-keys", { title: chart.title ?? "" }));
    this.figure.prepend(make("div", { class: "relief" }, canvas, this.slider()));
    this.camera.up.set(0, 0, 1);
    this.camera.position.set(-0.9, -2.3, 1.6);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.maxPolarAngle = Math.PI / 2;
    this.controls.minDistance = 0.4;
    this.controls.maxDistance = 12;
    this.controls.addEventListener("change", () => this.draw());
    canvas.addEventListener("keydown", (e) => this.key(e));
    new ResizeObserver(() => this.size()).observe(this.figure);
    this.size();
    this.fit();
  }

  /** Light from the side, low, as one holds a lamp to see a surface. */
  private light(): DirectionalLight {
    const l = new DirectionalLight(0xffffff, 2.2);
    l.position.set(-3, 1.5, 1.2);
    return l;
  }

  private mesh(s: ReturnType<typeof shapeOf>): Mesh {
    const g = new BufferGeometry();
    g.setAttribute("position", new BufferAttribute(s.places, 3));
    g.setAttribute("color", new BufferAttribute(s.colours, 3));
    g.setIndex(new BufferAttribute(s.triangles, 1));
    g.computeVertexNormals();
    return new Mesh(g, new MeshLambertMaterial({ vertexColors: true, side: DoubleSide }));
  }

  private slider(): HTMLElement {
    const own = find<HTMLInputElement>("input[data-relief-times]", this.figure);
    const range = own ?? make("input", { type: "range", "data-relief-times": "" });
    const words = make("output", {});
    range.min = "0";
    range.max = String(steps.length - 1);
    range.step = "1";
    range.value = String(atFirst(this.chart));
    const set = (): void => {
      const times = steps[Number(range.value)] ?? 1;
      this.stone.scale.z = times;
      words.textContent = say("script.times", { times: numbers.plain(times, 0) });
      range.setAttribute("aria-valuetext", words.textContent);
      this.draw();
    };
    range.addEventListener("input", set);
    set();
    return own ? words : make("label", { class: "relief-times" }, say("script.exaggerate"), " ", range, " ", words);
  }

  private key(e: KeyboardEvent): void {
    const turn: Record<string, [number, number]> = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.08], ArrowDown: [0, 0.08] };
    const by = turn[e.key];
    const nearer = { "+": 0.88, "-": 1.14 }[e.key];
    if (!by && !nearer) return;
    e.preventDefault();
    const at = this.camera.position;
    if (nearer) at.multiplyScalar(nearer);
    if (by) {
      const r = at.length();
      const around = Math.atan2(at.y, at.x) + by[0];
      const down = Math.max(0.05, Math.min(Math.PI / 2 - 0.01, Math.acos(at.z / r) + by[1]));
      at.set(r * Math.sin(down) * Math.cos(around), r * Math.sin(down) * Math.sin(around), r * Math.cos(down));
    }
    this.controls.update();
    this.draw();
  }

  /** Goes back until the whole stone is seen. */
  private fit(): void {
    const ball = Math.max(...this.chart.grids.map((g) => Math.hypot(Math.max(Math.abs(g.x0_mm), Math.abs(g.x0_mm + g.nx * g.dx_mm)), Math.max(Math.abs(g.y0_mm), Math.abs(g.y0_mm + g.ny * g.dy_mm))))) / 1e3;
    const half = (this.camera.fov * Math.PI) / 360;
    this.camera.position.setLength((0.86 * ball) / Math.sin(Math.min(half, Math.atan(Math.tan(half) * this.camera.aspect))));
    this.controls.update();
    this.draw();
  }

  private size(): void {
    const wide = Math.max(240, this.figure.clientWidth);
    const high = Math.max(260, Math.min(innerHeight * 0.7, wide * 0.62));
    this.renderer.setPixelRatio(devicePixelRatio || 1);
    this.renderer.setSize(wide, high);
    this.camera.aspect = wide / high;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Draws once for all changes of a moment. */
  private draw(): void {
    if (this.waits) return;
    this.waits = true;
    requestAnimationFrame(() => {
      this.waits = false;
      this.renderer.render(this.scene, this.camera);
    });
  }
}
