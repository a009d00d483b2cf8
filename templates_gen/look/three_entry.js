// What the page takes from three.js. Bundled into three.min.js with the npm packages three 0.187.0 and esbuild 0.28.2:
//   npx esbuild three_entry.js --bundle --minify --format=iife --global-name=THREE --legal-comments=inline
export {
  BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, Group, HemisphereLight, Line, LineBasicMaterial,
  Mesh, MeshBasicMaterial, MeshLambertMaterial, PerspectiveCamera, Raycaster, Scene, SphereGeometry, Vector2, Vector3,
  WebGLRenderer,
} from "three";
export { OrbitControls } from "three/addons/controls/OrbitControls.js";
